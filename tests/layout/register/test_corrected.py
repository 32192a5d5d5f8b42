"""Where a correction puts things, and what bleed it leaves.

A 5 x 7 in card on letter is a boundary case (by hand): with 1/4 in margins, 10.25 in fit to the last unit.
"""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Margins, Point, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.register.alignment import Correction
from watcher.layout.register.corrected import bleed_left, corrected, furthest_apart
from watcher.terms import Duplex, Flip

LETTER = Size(Fraction("215.9"), Fraction("279.4"))
EIGHTH = Fraction("3.175")


def shift(right, up):
    return Correction(shift=Point(Fraction(right), Fraction(up)))


def test_a_point_goes_where_the_shift_says():
    assert corrected(Point(Fraction(10), Fraction(20)), shift("0.8", "0.5"), LETTER) == Point(
        Fraction("10.8"), Fraction("20.5")
    )


def test_a_turn_moves_the_corner_as_a_wheel_does():
    """A quarter of a degree about the middle: a corner moves by half the diagonal times the angle."""
    half_diagonal = (215.9**2 + 279.4**2) ** 0.5 / 2
    apart = furthest_apart(None, Correction(turn_degrees=0.25), LETTER)
    assert apart == pytest.approx(half_diagonal * 0.25 * 3.14159265 / 180, rel=1e-5)


def test_the_difference_of_two_corrections_does_not_care_which_is_first():
    one, other = shift("0.8", "0.5"), Correction(turn_degrees=0.1, scale_x=1.001)
    assert furthest_apart(one, other, LETTER) == pytest.approx(furthest_apart(other, one, LETTER))
    assert furthest_apart(one, one, LETTER) == 0


class TestBleedLeft:
    def test_is_all_of_it_without_a_correction(self, make_request):
        request = make_request()
        assert bleed_left(lay_out(request), None, request) == EIGHTH
        assert bleed_left(lay_out(request), Correction(), request) == EIGHTH

    def test_is_never_more_than_was_asked_for(self, make_request):
        """Two cards of 90 x 150 mm have at least 8 mm of printable paper all round; asked for are 3.175 mm."""
        request = make_request(trim=Size(Fraction(90), Fraction(150)))
        assert bleed_left(lay_out(request), shift("1", "1"), request) == EIGHTH

    @pytest.mark.parametrize(("up", "left"), [("0.5", "2.675"), ("-1", "2.175"), ("3.175", "0"), ("-4", "-0.825")])
    def test_shrinks_as_the_back_is_moved_towards_the_rim(self, make_request, up, left):
        request = make_request()
        assert bleed_left(lay_out(request), shift(0, up), request) == Fraction(left)

    def test_is_untouched_where_there_is_room(self, make_request):
        """7 in wide and two bleeds on 8.5 in with quarter-inch rims: 12.7 mm to spare either side, less the bleed."""
        request = make_request()
        assert bleed_left(lay_out(request), shift("-5", 0), request) == EIGHTH
        assert bleed_left(lay_out(request), shift("10", 0), request) == Fraction("2.7")

    def test_is_measured_at_the_worst_corner_of_a_turned_page(self, make_request):
        """The block's outer corners, 88.9 mm from the middle, rise by 88.9 x sin 0.1 degrees = 0.155 mm."""
        request = make_request()
        left = bleed_left(lay_out(request), Correction(turn_degrees=0.1), request)
        assert float(EIGHTH - left) == pytest.approx(0.155, abs=0.001)

    def test_knows_the_rim_of_the_back_page(self, make_request):
        """Front rim 4 mm, back rim 9 mm at its own top: a shift up eats there, a shift down does not."""
        request = make_request(
            trim=Size(Fraction(100), Fraction(150)),
            unprintable=Margins.all_round(Fraction(4)),
            unprintable_back=Margins(Fraction(9), Fraction(4), Fraction(4), Fraction(4)),
            flip=Flip.LONG_EDGE,
            duplex=Duplex.MANUAL,
        )
        layout = lay_out(request)
        top = max(place.back.trim.top for place in layout.places)
        room = Fraction("279.4") - 9 - top
        assert bleed_left(layout, shift(0, room - 1), request) == 1
