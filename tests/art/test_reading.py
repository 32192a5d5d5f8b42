"""How art may be understood: as trim, as trim and bleed, by the size that it says, upright or on its side."""

from dataclasses import replace
from fractions import Fraction

import pytest

from watcher.art.reading import (
    Reading,
    at_own_size,
    card_as_read,
    choose,
    fits_card,
    is_trim_size,
    lies_on_side,
    readings_of,
    shape_off,
    trim_box,
)
from watcher.layout.geometry import Box, Size
from watcher.terms import Side, Turn

BLEED = Fraction("3.175")


def test_shapes_differ_by_the_larger_ratio_over_the_smaller():
    square, wide = Size(Fraction(2), Fraction(2)), Size(Fraction(3), Fraction(2))
    assert shape_off(square, wide) == shape_off(wide, square) == Fraction(1, 2)
    assert shape_off(wide, Size(Fraction(6), Fraction(4))) == 0


def test_a_shape_that_fits_twice_is_told_by_the_settings_or_by_its_own_size_or_not_at_all(art_of, card):
    square = card(trim="5 x 5 in")
    art = art_of(1500, 1500)
    readings = readings_of(art.extent, square)
    assert [reading.bleed for reading in readings] == [0, BLEED]
    assert choose(art, square, readings) is None
    assert choose(art, card(trim="5 x 5 in", art_bleed="0.125 in"), readings).bleed == BLEED
    assert choose(replace(art, real_size=square.trim), square, readings).bleed == 0


def test_art_with_more_bleed_than_is_wanted_is_never_shrunk(art_of, card):
    """A square of 5 in with 6 mm all round has the shape of the trim as well."""
    square = card(trim="5 x 5 in", bleed="0 mm")
    art = replace(art_of(1500, 1500), real_size=square.trim.grown(Fraction(6)))
    own = at_own_size(art, square)
    assert (own.bleed, own.is_exact) == (6, True)
    assert choose(art, square, readings_of(art.extent, square)) is None
    assert choose(replace(art, real_size=None), square, readings_of(art.extent, square)).bleed == 0
    assert at_own_size(replace(art, real_size=square.trim.grown(Fraction(26))), square) is None  # over an inch


def test_art_lies_on_its_side_only_where_it_does_not_fit_as_it_stands(art_of, card):
    assert lies_on_side(art_of(2175, 1575), card())
    assert not lies_on_side(art_of(1575, 2175), card())
    assert not lies_on_side(art_of(1500, 1500), card(trim="5 x 5 in"))


def test_a_card_is_read_on_its_side_only_where_all_its_art_lies_so(art_of, card):
    lying, standing = art_of(2175, 1575), art_of(1575, 2175, side=Side.BACK)
    assert card_as_read([lying], card()).trim == card().trim.turned(Turn.LEFT)
    assert card_as_read([lying, standing], card()) == card()
    assert card_as_read([lying, standing], card(back_quarter="left")).trim == card().trim.turned(Turn.LEFT)
    assert card_as_read([lying], card(fold="left")).trim == card().trim


def test_a_trim_that_a_file_says_may_be_half_a_millimetre_off(card):
    small = card(trim="60 x 84 mm")
    assert is_trim_size(Size(Fraction("60.5"), Fraction("83.5")), small)
    assert not is_trim_size(Size(Fraction("60.6"), Fraction(84)), small)


def test_a_shape_fits_up_to_half_a_percent():
    """1000 : 1000 beside 1005 : 1000 is just 0.5 % off."""
    square = Box.at(Fraction(0), Fraction(0), Size(Fraction(1000), Fraction(1000)))
    off = [shape_off(square.size, Size(Fraction(width), Fraction(1000))) for width in ("1005", "1005.1")]
    assert [Reading(bleed=Fraction(0), target=square, off=one).fits for one in off] == [True, False]


def test_readings_are_the_trim_the_bleed_of_the_card_and_the_bleed_of_its_art(art_of, card):
    said = [reading.bleed for reading in readings_of(art_of(1500, 2100).extent, card(art_bleed="5 mm"))]
    assert said == [0, BLEED, 5]
    same = readings_of(art_of(1500, 2100).extent, card(bleed="0 mm"))
    assert [reading.target for reading in same] == [trim_box(card())]


@pytest.mark.parametrize(("percent", "bleed"), [("0", 0), ("0.5", 0), ("0.51", None)])
def test_a_size_that_the_art_says_tells_within_half_a_percent(art_of, card, percent, bleed):
    square = card(trim="100 x 100 mm", bleed="10 mm")
    side = 100 * (1 + Fraction(percent) / 100)
    art = replace(art_of(1000, 1000), real_size=Size(side, side))
    chosen = choose(art, square, readings_of(art.extent, square))
    assert (chosen.bleed if chosen else None) == bleed


@pytest.mark.parametrize(
    ("more", "own"),
    [
        (("6", "6"), (3, True)),
        (("6", "5.8"), ("2.95", True)),  # 3 and 2.9 mm: a tenth apart
        (("6", "5.7"), ("2.925", False)),
        (("6", "5"), ("2.75", False)),  # half a millimetre apart, which is 0.47 % of 106 mm
        (("6", "4.9"), None),
        (("50.8", "50.8"), ("25.4", True)),  # an inch is the most
        (("51", "51"), None),
        (("0", "0"), None),  # that is the trim
    ],
)
def test_art_of_its_own_size_is_the_trim_with_the_same_bleed_all_round(art_of, card, more, own):
    real = Size(*(100 + Fraction(length) for length in more))
    found = at_own_size(replace(art_of(1000, 1000), real_size=real), card(trim="100 x 100 mm", bleed="0 mm"))
    assert (found and (found.bleed, found.is_exact)) == (own and (Fraction(own[0]), own[1]))


def test_art_without_a_size_of_its_own_has_none(art_of, card):
    assert at_own_size(art_of(1500, 2100), card()) is None


def test_a_page_that_says_its_trim_fits_by_that_alone(art_of, card):
    """The page is 200 x 300 pt, its trim 170.08 x 238.11 pt: 60 x 84 mm (a point is 1/72 in)."""
    page = art_of("70.56", "105.83", mm=True)
    view, trim = Box(*map(Fraction, (0, 0, 200, 300))), Box(*map(Fraction, ("10", "10", "180.08", "248.11")))
    said = replace(page, content=replace(page.content, view=view, trim=trim))
    assert fits_card(said, card(trim="60 x 84 mm"))
    assert not fits_card(said, card(trim="70.56 x 105.83 mm", bleed="0 mm"))
    assert fits_card(page, card(trim="70.56 x 105.83 mm", bleed="0 mm"))


def test_a_small_card_may_be_half_a_millimetre_off_and_a_large_one_half_a_percent(card):
    """0.5 % of 200 mm is 1 mm."""
    large = card(trim="200 x 200 mm")
    assert is_trim_size(Size(Fraction(201), Fraction(199)), large)
    assert not is_trim_size(Size(Fraction(200), Fraction("201.1")), large)
