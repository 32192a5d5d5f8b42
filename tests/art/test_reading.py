"""How art may be understood: as trim, as trim and bleed, by the size that it says, upright or on its side."""

from dataclasses import replace
from fractions import Fraction

from watcher.art.reading import at_own_size, card_as_read, choose, is_trim_size, lies_on_side, readings_of, shape_off
from watcher.layout.geometry import Size
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
