from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.art.fit import fit_art, trim_box
from watcher.art.model import Art, ImageStream, Raster
from watcher.layout.geometry import Box, Size
from watcher.settings.card import CardSettings
from watcher.terms import Level, MakeBleed, ShapeMismatch, Side
from watcher.units import mm_to_points

BLEED = Fraction("3.175")
TRIM = Box(Fraction(0), Fraction(0), Fraction(127), Fraction("177.8"))


def said(findings) -> list[tuple[str, Level]]:
    return [(finding.code, finding.level) for finding in findings]


def test_art_with_bleed_covers_trim_and_bleed_exactly(art_of, card):
    """5 x 7 in with 1/8 in bleed at 300 ppi is 1575 x 2175 px (by hand: 5.25 x 300, 7.25 x 300)."""
    fit, findings = fit_art(art_of(1575, 2175), card())
    assert fit.box == TRIM.grown(BLEED)
    assert (fit.ppi, findings) == (300, ())


def test_art_without_bleed_covers_the_trim_and_bleed_is_made(art_of, card):
    """5 x 7 in at 300 ppi is 1500 x 2100 px (by hand); height to width is 1.4000 trim, 1.3810 with bleed."""
    fit, findings = fit_art(art_of(1500, 2100), card())
    assert (fit.box, fit.ppi, fit.make_bleed) == (TRIM, 300, MakeBleed.MIRROR)
    assert said(findings) == [("bleed-made", Level.NOTE)]


def test_missing_bleed_is_a_warning_when_none_is_made(art_of, card):
    _, findings = fit_art(art_of(1500, 2100), card(make_bleed="none"))
    assert said(findings) == [("bleed-missing", Level.WARN)]


def test_a_card_without_bleed_has_nothing_to_make(art_of, card):
    fit, findings = fit_art(art_of(1500, 2100), card(bleed="0 mm"))
    assert (fit.box, findings) == (TRIM, ())


def test_rounding_to_whole_pixels_is_not_worth_a_word(art_of, card):
    """85 x 55 mm with 3 mm bleed at 300 ppi is 1074.8 x 720.5, exported as 1075 x 721 px (by hand)."""
    fit, findings = fit_art(art_of(1075, 721), card(trim="85 x 55 mm", bleed="3 mm"))
    assert fit.box.contains(Box(Fraction(-3), Fraction(-3), Fraction(88), Fraction(58)))
    assert findings == ()


def test_a_shape_a_trifle_off_is_scaled_to_cover_and_noted(art_of, card):
    """1581 px where 1575 would be right: 0.38 % too wide. 6 px at 300 ppi, half at each side, are 0.254 mm."""
    fit, findings = fit_art(art_of(1581, 2175), card())
    assert fit.box.width - TRIM.grown(BLEED).width == Fraction(6, 300) * Fraction("25.4")
    assert fit.box.centre == TRIM.centre
    assert said(findings) == [("shape-adjusted", Level.NOTE)]
    assert "0.25 mm at the left and the right" in findings[0].message


def test_another_shape_is_held_with_both_shapes_and_the_pixels_that_would_be_right(art_of, card):
    fit, findings = fit_art(art_of(1000, 1000), card())
    assert said(findings)[0] == ("shape-mismatch", Level.HOLD)
    words = findings[0].message
    for number in (
        "1000 x 1000 px",
        "1 : 1",
        "127 x 177.8 mm",
        "1 : 1.4",
        "1 : 1.381",
        "1575 x 2175 px",
        "1500 x 2100 px",
    ):
        assert number in words
    assert fit.box.contains(TRIM)


def test_art_on_its_side_is_held_and_said(art_of, card):
    _, findings = fit_art(art_of(2175, 1575), card())
    assert said(findings)[0] == ("shape-mismatch", Level.HOLD)
    assert "is lying on its side" in findings[0].message


def test_what_an_acceptance_does_to_art_on_its_side_is_told_in_numbers(art_of, card):
    """1575 px must reach over 184.15 mm instead of 133.35: 1.381 times. Then 2175 px take 254.3 mm, 120.95 too many."""
    fit, findings = fit_art(art_of(2175, 1575), card())
    words = "Printed anyway, it is enlarged to 138 % and 60.48 mm at the left and the right are cut off (48 % of it)."
    assert findings[0].message.endswith(words)
    assert float(fit.box.width) == pytest.approx(254.30, abs=0.005)


def test_what_an_acceptance_does_to_a_page_on_its_side_is_told_in_numbers(art_of, card):
    """177.8 x 127 mm over 127 x 177.8 mm without bleed: 1.4 times, 248.92 - 127 mm too wide, 1 - 127 / 248.92."""
    _, findings = fit_art(art_of("177.8", "127", mm=True), card(bleed="0 mm"))
    assert "it is enlarged to 140 % and 60.96 mm at the left and the right are cut off (49 % of it)" in (
        findings[0].message
    )


def test_a_page_of_another_shape_tells_by_how_much_it_is_enlarged(art_of, card):
    """100 x 100 mm over 127 x 177.8 mm: 1.778 times, 50.8 mm too wide."""
    _, findings = fit_art(art_of("100", "100", mm=True), card(bleed="0 mm"))
    assert "it is enlarged to 178 % and 25.4 mm at the left and the right are cut off (29 % of it)" in (
        findings[0].message
    )


def test_a_square_page_of_neither_size_tells_how_it_is_printed_anyway(art_of, card):
    _, findings = fit_art(art_of("50", "50", mm=True), card(trim="100 x 100 mm", bleed="3 mm"))
    assert findings[0].message.endswith("taken as having no bleed, and its bleed is made, and it is enlarged to 200 %.")


def test_cropping_fills_the_card_and_says_what_is_lost(art_of, card):
    """A square over 133.35 x 184.15 mm, the nearer shape: (184.15 - 133.35) / 2 = 25.4 mm go at each side."""
    fit, findings = fit_art(art_of(1000, 1000), card(shape_mismatch="crop"))
    assert fit.box == Box(Fraction("-28.575"), Fraction("-3.175"), Fraction("155.575"), Fraction("180.975"))
    assert said(findings) == [("shape-cropped", Level.WARN)]
    assert "25.4 mm at the left and the right" in findings[0].message


def test_cropping_long_art_goes_by_the_trim(art_of, card):
    """1 : 2 is nearer to the trim (1 : 1.4) than to trim and bleed (1 : 1.381): less of it is lost."""
    fit, findings = fit_art(art_of(1000, 2000), card(shape_mismatch="crop"))
    assert (fit.box.left, fit.box.right, fit.box.height) == (0, 127, 254)
    assert said(findings) == [("shape-cropped", Level.WARN), ("bleed-made", Level.NOTE)]
    assert "38.1 mm at the top and the bottom" in findings[0].message


def test_padding_shows_all_of_the_art_within_the_trim(art_of, card):
    fit, findings = fit_art(art_of(1000, 1000), card(shape_mismatch="pad"))
    assert fit.box == Box(Fraction(0), Fraction("25.4"), Fraction(127), Fraction("152.4"))
    assert said(findings) == [("shape-padded", Level.WARN)]
    assert "25.4 mm of paper show at the top and the bottom" in findings[0].message


def test_a_square_card_cannot_be_told_apart(art_of, card):
    _, findings = fit_art(art_of(1000, 1000), card(trim="100 x 100 mm", bleed="3 mm"))
    assert said(findings)[0] == ("bleed-unclear", Level.HOLD)
    for number in ("254 ppi", "240 ppi", "art_bleed"):
        assert number in findings[0].message


@pytest.mark.parametrize(("brought", "edge"), [("3 mm", -3), ("0 mm", 0), ("1 mm", -1)])
def test_art_bleed_says_what_shape_cannot(art_of, card, brought, edge):
    fit, findings = fit_art(art_of(1000, 1000), card(trim="100 x 100 mm", bleed="3 mm", art_bleed=brought))
    assert (fit.box.left, fit.box.bottom) == (edge, edge)
    assert said(findings) == ([] if edge == -3 else [("bleed-made", Level.NOTE)])


@pytest.mark.parametrize(("size", "edge"), [(106, -3), (100, 0), (100.4, 0)])
def test_a_pdf_page_tells_by_its_own_size(art_of, card, size, edge):
    fit, findings = fit_art(art_of(size, size, mm=True), card(trim="100 x 100 mm", bleed="3 mm"))
    assert fit.box.left == edge
    assert fit.ppi is None
    assert "bleed-unclear" not in {code for code, _ in said(findings)}


def test_a_pdf_page_of_neither_size_is_held(art_of, card):
    _, findings = fit_art(art_of(50, 50, mm=True), card(trim="100 x 100 mm", bleed="3 mm"))
    assert said(findings)[0] == ("bleed-unclear", Level.HOLD)


def test_resolution_is_that_of_the_smaller_axis_after_scaling(art_of, card):
    fit, _ = fit_art(art_of(408, 555), card(trim="63 x 88 mm", bleed="3 mm"))
    assert fit.ppi == Fraction(555) / (94 / Fraction("25.4"))


def _art(width: int, height: int) -> Art:
    stream = ImageStream(data=b"", filter="/FlateDecode", predictor=15, width_px=0, height_px=0, bits=8, colours=3)
    return Art(
        side=Side.FRONT,
        file="x.png",
        sha256="",
        extent=Size(Fraction(width), Fraction(height)),
        width_px=width,
        height_px=height,
        content=Raster(stream=stream),
    )


sides_px = st.integers(20, 5000)
tenths = st.integers(250, 4000).map(lambda value: Fraction(value, 10))


@given(width=sides_px, height=sides_px, trim=st.builds(Size, tenths, tenths), bleed=st.sampled_from(["0 mm", "3 mm"]))
def test_whatever_comes_lies_about_the_middle_unstretched_and_covers_the_trim(width, height, trim, bleed):
    card = CardSettings(name="c", trim=trim, sheet="s", bleed=bleed)
    fit, findings = fit_art(_art(width, height), card)
    assert fit.box.width * height == fit.box.height * width
    assert fit.box.centre == trim_box(card).centre
    assert fit.box.contains(trim_box(card))
    assert all("\n" not in finding.message for finding in findings)


@given(width=sides_px, height=sides_px, trim=st.builds(Size, tenths, tenths))
def test_padded_art_never_leaves_the_trim_and_touches_two_of_its_sides(width, height, trim):
    card = CardSettings(name="c", trim=trim, sheet="s", bleed="3 mm", shape_mismatch=ShapeMismatch.PAD.value)
    fit, findings = fit_art(_art(width, height), card)
    if "shape-padded" in {finding.code for finding in findings}:
        assert trim_box(card).contains(fit.box)
        assert fit.box.width == trim.width or fit.box.height == trim.height


@pytest.mark.parametrize("short_mm", ["0.4", "0.05", "0"])
def test_a_said_trim_a_hair_too_small_with_nothing_beyond_still_covers_the_card(art_of, card, short_mm):
    """At its own scale a trim of 126.6 mm would leave 0.2 mm of bare paper at both sides of 127 mm.

    The page shows 3 mm more above its trim, so that the two are not the same, and nothing at the sides.
    """
    width, height, above = Fraction(127) - Fraction(short_mm), Fraction("177.8"), Fraction(3)
    view = Box(*map(mm_to_points, (Fraction(0), Fraction(0), width, height + above)))
    said_trim = Box(*map(mm_to_points, (Fraction(0), Fraction(0), width, height)))
    art = art_of(width, height + above, mm=True)
    art = replace(art, content=replace(art.content, view=view, trim=said_trim))
    fit, _ = fit_art(art, card(bleed="0 mm"))
    assert fit.box.contains(TRIM)
    assert fit.box.width == 127
