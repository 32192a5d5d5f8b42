"""The wording of how art fits its card: shapes, sizes, what an acceptance does, which ends are lost."""

from fractions import Fraction

import pytest

from watcher.art import fit_words
from watcher.layout.geometry import Box, Size
from watcher.terms import Level, Side

TRIM = Box(Fraction(0), Fraction(0), Fraction(127), Fraction("177.8"))


def test_a_shape_is_told_with_its_shorter_side_as_one():
    assert fit_words.show_shape(Size(Fraction(5), Fraction(7))) == "1 : 1.4"
    assert fit_words.show_shape(Size(Fraction(7), Fraction(4))) == "1.75 : 1"
    assert fit_words.show_shape(Size(Fraction(3), Fraction(3))) == "1 : 1"


def test_an_extent_is_pixels_of_a_picture_and_millimetres_of_a_page(art_of):
    assert fit_words.show_extent(art_of(1500, 2100)) == "1500 x 2100 px"
    assert fit_words.show_extent(art_of(127, "177.8", mm=True)) == "127 x 177.8 mm"


def test_a_mismatch_advises_sizes_of_the_kind_that_the_art_has(art_of, card):
    """5.25 x 7.25 in and 5 x 7 in at 300 ppi: 1575 x 2175 and 1500 x 2100 px."""
    of_pixels = fit_words.mismatch(art_of(1000, 1000), card(), TRIM, TRIM).message
    assert "Export it at 1575 x 2175 px with bleed or 1500 x 2100 px without (300 ppi)" in of_pixels
    of_page = fit_words.mismatch(art_of(100, 100, mm=True), card(), TRIM, TRIM).message
    assert "Export it at 133.35 x 184.15 mm with bleed or 127 x 177.8 mm without, or" in of_page


def test_the_ends_that_are_lost_are_those_that_stand_over(art_of):
    wide = Box(Fraction(-10), Fraction(0), Fraction(137), Fraction("177.8"))
    tall = Box(Fraction(0), Fraction(-1), Fraction(127), Fraction("178.8"))
    lost = [fit_words.cropped(art_of(10, 10), box, TRIM, Fraction(0)).message for box in (wide, tall)]
    assert lost[0].endswith("it fills the card, and 10 mm at the left and the right are cut off.")
    assert lost[1].endswith("1 mm at the top and the bottom is cut off.")


def test_unclear_bleed_tells_what_printing_it_anyway_does(art_of, card):
    def said(taken, **more):
        return fit_words.bleed_unclear(art_of(1500, 1500), card(trim="5 x 5 in", **more), taken, TRIM).message

    assert "taken as having 0.125 in of bleed, and that much at each edge is cut off." in said(Fraction("3.175"))
    assert "taken as having no bleed, and its bleed is made." in said(Fraction(0))
    assert "taken as having no bleed, and none is made." in said(Fraction(0), make_bleed="none")


def test_unclear_bleed_tells_both_readings_as_people_know_the_size(art_of, card):
    """1500 px on 5 in are 300 ppi, on 5.25 in 285.7; a page has its millimetres alone."""
    said = [
        fit_words.bleed_unclear(art, card(trim="5 x 5 in"), Fraction(0), TRIM).message
        for art in (art_of(1500, 1500), art_of(130, 130, mm=True))
    ]
    assert "fits 127 x 127 mm (300 ppi) without bleed as well as 133.35 x 133.35 mm (286 ppi) with bleed." in said[0]
    assert "fits 127 x 127 mm without bleed as well as 133.35 x 133.35 mm with bleed." in said[1]


def test_art_on_its_side_beside_upright_art_is_asked_to_be_turned(art_of, card):
    """A back may be turned by a setting; for a front nobody can tell which way."""
    target = TRIM.grown(Fraction(0))
    front, back = (
        fit_words.lies_on_its_side(art, card(), art.extent, TRIM, target).message
        for art in (art_of(2175, 1575), art_of(2175, 1575, side=Side.BACK))
    )
    assert "x.png is lying on its side: it is 2175 x 1575 px (shape 1.381 : 1), but the card is 127 x 177.8 mm" in front
    assert "Turn it a quarter. Export it at" in front
    assert 'set back_quarter = "left" or "right". Export it at' in back


def test_of_a_page_whose_trim_lies_on_its_side_the_trim_is_told(art_of, card):
    page = art_of(200, 150, mm=True)
    said = fit_words.lies_on_its_side(page, card(), Size(Fraction("177.8"), Fraction(127)), TRIM, TRIM).message
    assert "its trim is 177.8 x 127 mm (shape 1.4 : 1)" in said


@pytest.mark.parametrize(
    ("sides", "said"),
    [
        ((Side.FRONT,), "x.png lies on its side for a card of 127 x 177.8 mm; it is made as a card of 177.8 x 127 mm"),
        (tuple(Side), "x.png lie on their side for a card of 127 x 177.8 mm; it is made as a card of 177.8 x 127 mm"),
    ],
)
def test_a_card_made_on_its_side_tells_both_sizes(art_of, card, sides, said):
    finding = fit_words.read_on_its_side([art_of(2175, 1575, side=side) for side in sides], card())
    assert finding.level is Level.NOTE
    assert finding.message.startswith(f"{said}, upright as it is read")
    assert ("with the back" in finding.message) is (len(sides) == 2)


@pytest.mark.parametrize(
    ("missing", "has"),
    [("3.175", "x.png has no bleed"), ("1.5875", "x.png has 0.0625 in of the 0.125 in bleed")],
)
def test_bleed_that_lacks_is_told_beside_what_is_wanted(art_of, card, missing, has):
    made = fit_words.bleed_made(art_of(1500, 2100), card(), Fraction(missing))
    lacks = fit_words.bleed_missing(art_of(1500, 2100), card(), Fraction(missing))
    assert (made.level, lacks.level) == (Level.NOTE, Level.WARN)
    assert made.message.startswith(f"{has}; its edge is mirrored to make 0.")
    assert lacks.message.startswith(f"{has}, and none is made: a cut that is off shows white. Export it at 133.35 x")


def test_bleed_that_is_extended_says_so(art_of, card):
    said = fit_words.bleed_made(art_of(1500, 2100), card(make_bleed="extend"), Fraction("3.175")).message
    assert said == "x.png has no bleed; its outermost colours run out to make 0.125 in."


def test_more_bleed_than_is_wanted_is_told_with_both(art_of, card):
    said = fit_words.bleed_left_out(art_of(1500, 2100), card(), Fraction("6.35")).message
    assert said == "x.png brings 0.25 in of bleed; 0.125 in are used and the rest is left out."


def test_a_shape_a_trifle_off_is_told_in_percent(art_of):
    box = Box(Fraction(0), Fraction(-1), Fraction(127), Fraction("178.8"))
    said = fit_words.trimmed_to_shape(art_of(10, 10), Fraction("0.0031"), box, TRIM).message
    assert said == "x.png is 0.31 % off the card's shape; 1 mm at the top and the bottom is cut off."


def test_paper_beside_padded_art_is_told_by_its_width_and_ends(art_of):
    inside = Box(Fraction(10), Fraction(0), Fraction(117), Fraction("177.8"))
    said = fit_words.padded(art_of(10, 10), inside, TRIM).message
    assert said.endswith("it is shown whole, and 10 mm of paper show at the left and the right.")


@pytest.mark.parametrize(
    ("scale", "said"),
    [
        ("1.005", "it is as large as it says it is"),
        ("1.02", "it is enlarged to 102 %"),
        ("0.5", "it is reduced to 50 %"),
    ],
)
def test_a_trim_of_another_size_is_told_with_what_printing_it_anyway_does(art_of, card, scale, said):
    size = Size(Fraction(100), Fraction(140))
    message = fit_words.trim_mismatch(art_of(100, 140, mm=True), card(), size, Fraction(scale), TRIM).message
    assert "says that its trim is 100 x 140 mm, but the card is 127 x 177.8 mm." in message
    assert message.endswith(f"Printed anyway, {said}.")


def test_what_is_lost_of_art_that_is_printed_anyway_is_told_in_percent(art_of, card):
    """127 of 254 mm are kept: 63.5 mm go at each end, half of it."""
    wide = Box(Fraction("-63.5"), Fraction(0), Fraction("190.5"), Fraction("177.8"))
    said = fit_words.mismatch(art_of(1000, 700), card(), wide, TRIM).message
    assert said.endswith("Printed anyway, 63.5 mm at the left and the right are cut off (50 % of it).")
