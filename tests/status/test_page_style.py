"""The colours of the status page can be read."""

import re
from itertools import product

import pytest

from watcher.status import page_style as status_style


def luminance(colour: str) -> float:
    """Source: WCAG 2.2, definition of relative luminance."""
    parts = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Source: WCAG 2.2, definition of contrast ratio."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


class TestColours:
    def test_are_measured_with_the_formula_of_the_standard(self) -> None:
        """Worked values: black on white is 21:1 (WCAG 2.2); #767676 is the lightest grey that passes (from memory)."""
        assert contrast("#000000", "#ffffff") == pytest.approx(21)
        assert contrast("#767676", "#ffffff") > 4.5 > contrast("#777777", "#ffffff")

    @pytest.mark.parametrize("scheme", [status_style.DAY, status_style.NIGHT], ids=["day", "night"])
    def test_of_text_have_4_5_to_1_on_every_background(self, scheme: status_style.Scheme) -> None:
        """Source: WCAG 2.2, 1.4.3 (AA)."""
        for text, ground in product(status_style.TEXTS, status_style.BACKGROUNDS):
            assert contrast(getattr(scheme, text), getattr(scheme, ground)) >= 4.5, (text, ground)

    @pytest.mark.parametrize("scheme", [status_style.DAY, status_style.NIGHT], ids=["day", "night"])
    def test_of_outlines_have_3_to_1(self, scheme: status_style.Scheme) -> None:
        """Source: WCAG 2.2, 1.4.11 (AA)."""
        for outline, ground in product(status_style.OUTLINES, status_style.BACKGROUNDS):
            assert contrast(getattr(scheme, outline), getattr(scheme, ground)) >= 3, (outline, ground)

    def test_are_all_in_the_two_schemes_and_used_as_they_are_meant(self) -> None:
        rules = status_style.STYLE.rpartition("} }")[2]
        assert not re.findall(r"#[0-9a-fA-F]{3,8}\b|rgba?\(|hsl", rules)
        assert set(re.findall(r"[; {]color: var\(--(\w+)\)", rules)) <= set(status_style.TEXTS)
        assert set(re.findall(r"background: var\(--(\w+)\)", rules)) <= set(status_style.BACKGROUNDS)
        assert set(re.findall(r"outline: [^;]*var\(--(\w+)\)", rules)) <= set(status_style.OUTLINES)
