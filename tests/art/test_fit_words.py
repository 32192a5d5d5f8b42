"""The wording of how art fits its card: shapes, sizes, what an acceptance does, which ends are lost."""

from fractions import Fraction

from watcher.art import fit_words
from watcher.layout.geometry import Box, Size

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
