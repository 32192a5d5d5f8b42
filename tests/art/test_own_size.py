"""Art that says how large it is: more bleed than is wanted is cut off, never shrunk."""

from dataclasses import replace
from fractions import Fraction

import pytest

from watcher.art.fit import fit_art, trim_box, unclear_bleed
from watcher.layout.geometry import Box, Size
from watcher.terms import Level

A6 = {"trim": "ISO A6", "bleed": "3 mm"}  # 105 x 148 mm (ISO 216)
TRIM = Box(Fraction(0), Fraction(0), Fraction(105), Fraction(148))


def codes(findings) -> list[str]:
    return [finding.code for finding in findings]


@pytest.mark.parametrize("bleed", ["4", "5", "6.35", "12"])
def test_a_page_with_more_bleed_lies_at_its_own_scale(art_of, card, bleed):
    brought = Fraction(bleed)
    art = art_of(105 + 2 * brought, 148 + 2 * brought, mm=True)
    fit, findings = fit_art(art, card(**A6))
    assert fit.box == TRIM.grown(brought)
    assert codes(findings) == ["bleed-left-out"]
    assert f"brings {float(brought):g} mm of bleed; 3 mm are used" in findings[0].message
    assert findings[0].level is Level.NOTE


def test_a_page_with_less_bleed_keeps_it_and_gets_the_rest(art_of, card):
    fit, findings = fit_art(art_of(109, 152, mm=True), card(**A6))
    assert fit.box == TRIM.grown(Fraction(2))
    assert codes(findings) == ["bleed-made"]
    assert "has 2 mm of the 3 mm bleed" in findings[0].message


def test_so_do_pixels_whose_density_can_be_believed(art_of, card):
    """115 x 158 mm at 300 ppi are 1358 x 1866 px, 5 mm of bleed."""
    art = replace(art_of(1358, 1866), real_size=Size(Fraction(1358) / 300 * Fraction("25.4"), Fraction("157.988")))
    fit, findings = fit_art(art, card(**A6))
    assert float(fit.ppi) == pytest.approx(300)
    assert codes(findings) == ["bleed-left-out"]
    assert float(fit.box.left) == pytest.approx(-4.99, abs=0.01)


@pytest.mark.parametrize(("width", "height", "edge"), [(1311, 1819, -3), (1240, 1748, 0)])
def test_a_shape_that_fits_wins_over_an_odd_density(art_of, card, width, height, edge):
    """Editors write 72 or 96 ppi whatever the pixels (common practice, no source)."""
    for ppi in (72, 96, 290):
        said = Size(width * Fraction("25.4") / ppi, height * Fraction("25.4") / ppi)
        fit, findings = fit_art(replace(art_of(width, height), real_size=said), card(**A6))
        assert fit.box.contains(TRIM.grown(Fraction(-edge)))
        assert fit.box.left == pytest.approx(edge, abs=0.05)
        assert "bleed-left-out" not in codes(findings)


def test_a_nearly_square_page_with_more_bleed_is_not_shrunk_to_the_bleed(art_of, card):
    """110 x 115 mm fits 106 x 111 mm within 0.2 %, but it is 100 x 105 mm and 5 mm all round to the hair."""
    fit, _ = fit_art(art_of(110, 115, mm=True), card(trim="100 x 105 mm", bleed="3 mm"))
    assert fit.box == Box(Fraction(-5), Fraction(-5), Fraction(105), Fraction(110))


def test_a_nearly_square_page_whose_bleed_is_not_even_is_taken_by_its_shape(art_of, card):
    """110.15 x 114.85 mm: 5.075 mm across, 4.925 mm upwards, more than a tenth apart; the shape is 106 x 111's."""
    fit, _ = fit_art(art_of("110.15", "114.85", mm=True), card(trim="100 x 105 mm", bleed="3 mm"))
    assert fit.box.left == pytest.approx(-3, abs=0.3)


def test_a_square_page_tells_more_bleed_as_well(art_of, card):
    fit, findings = fit_art(art_of(110, 110, mm=True), card(trim="100 x 100 mm", bleed="3 mm"))
    assert (fit.box.left, codes(findings)) == (-5, ["bleed-left-out"])


def test_square_pixels_tell_by_a_density_that_can_be_believed(art_of, card):
    square = card(trim="100 x 100 mm", bleed="3 mm")
    said = {edge: Size(Fraction(100 - 2 * edge), Fraction(100 - 2 * edge)) for edge in (0, -3)}
    for edge, size in said.items():
        fit, findings = fit_art(replace(art_of(1200, 1200), real_size=size), square)
        assert fit.box.left == edge
        assert "bleed-unclear" not in codes(findings)


@pytest.mark.parametrize("off", [Fraction(8, 10), Fraction(15, 10)])
def test_bleed_that_differs_from_side_to_side_is_no_bleed(art_of, card, off):
    """115 x 158 mm and 1.6 or 3 mm more across: 0.8 mm or more at each side, more than 0.5 %."""
    _, findings = fit_art(art_of(115 + 2 * off, 158, mm=True), card(**A6))
    assert codes(findings)[0] == "shape-mismatch"


def test_a_page_much_larger_is_another_size_and_no_bleed(art_of, card):
    _, findings = fit_art(art_of(105 + 60, 148 + 60, mm=True), card(**A6))
    assert codes(findings)[0] == "shape-mismatch"


def test_art_bleed_may_be_more_than_the_card_wants(art_of, card):
    """Told by the settings: 110 px a side for 100 mm and 5 mm all round."""
    fit, _ = fit_art(art_of(1100, 1100), card(trim="100 x 100 mm", bleed="3 mm", art_bleed="5 mm"))
    assert fit.box == Box.at(Fraction(-5), Fraction(-5), Size(Fraction(110), Fraction(110)))


def test_art_bleed_decides_only_where_shape_cannot_tell(art_of, card):
    """5 x 7 in: trim 1 : 1.4, with 6 mm 1 : 1.366; art of the trim's shape is taken for the trim."""
    wide = card(art_bleed="6 mm")
    assert fit_art(art_of(1500, 2100), wide)[0].box == trim_box(wide)
    assert fit_art(art_of(1390, 1898), wide)[0].box.left == pytest.approx(-6, abs=0.05)


@pytest.mark.parametrize(
    ("said", "is_unclear"),
    [
        ({"trim": "100 x 100 mm", "bleed": "3 mm"}, True),
        ({"trim": "100 x 105 mm", "bleed": "3 mm"}, True),  # 0.27 % apart
        ({"trim": "100 x 100 mm", "bleed": "3 mm", "art_bleed": "3 mm"}, False),
        ({"trim": "100 x 100 mm", "bleed": "0 mm"}, False),
        ({"trim": "5 x 7 in", "bleed": "0.125 in"}, False),  # 1.4 % apart (by hand: 1.4000 and 1.3810)
        ({"trim": "85 x 55 mm", "bleed": "3 mm"}, False),
    ],
)
def test_cards_whose_art_cannot_tell_its_bleed_are_known_beforehand(card, said, is_unclear):
    words = unclear_bleed(card(**said))
    assert (words is not None) is is_unclear
    if words:
        assert "art_bleed" in words
        assert "\n" not in words
