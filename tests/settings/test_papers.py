"""Standard sizes by name."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Size
from watcher.settings.papers import (
    PAPERS,
    ambiguous_on_inch_paper,
    find_paper,
    is_inch_paper,
    is_paper_name,
    media_name,
)

A4 = Size(Fraction(210), Fraction(297))
LETTER = Size(Fraction("215.9"), Fraction("279.4"))


@pytest.mark.parametrize("name", ["A4", "a4", "ISO A4", "iso_a4", "iso-a4_210x297mm", "A4 portrait"])
def test_a_name_is_found_however_it_is_written(name):
    assert find_paper(name) == A4


def test_landscape_lies_with_its_long_side_across():
    assert find_paper("A4 landscape") == Size(Fraction(297), Fraction(210))


def test_an_unknown_name_lists_the_near_ones():
    with pytest.raises(ValueError, match=r'no paper has this name; use .*"letter".*width x height'):
        find_paper("lettre")
    assert not is_paper_name("lettre")


def test_each_size_of_a_series_is_as_wide_as_the_next_is_high():
    series = [paper.size for paper in PAPERS if paper.name[0] == "A" and paper.name[1:].isdecimal()]
    assert all(large.width == small.height for large, small in zip(series, series[1:], strict=False))


def test_a_note_card_and_an_iso_sheet_of_one_name_are_told_apart():
    said = ambiguous_on_inch_paper("a6")
    assert "ISO A6, 105 x 148 mm" in said
    assert 'write "ISO A6" or "' in said
    assert ambiguous_on_inch_paper("A4") is None


def test_an_inch_paper_is_one_either_way_round():
    assert is_inch_paper(LETTER)
    assert is_inch_paper(Size(LETTER.height, LETTER.width))
    assert not is_inch_paper(A4)


@pytest.mark.parametrize(
    ("size", "name"),
    [
        (A4, "iso_a4_210x297mm"),
        (Size(Fraction(297), Fraction(210)), "iso_a4_210x297mm"),
        (LETTER, "na_letter_8.5x11in"),
        (Size(Fraction(100), Fraction(200)), "custom_100x200mm_100x200mm"),
        (Size(Fraction("127"), Fraction("190.5")), "custom_5x7.5in_5x7.5in"),
    ],
)
def test_the_name_of_a_size_has_its_short_side_first(size, name):
    assert media_name(size) == name
