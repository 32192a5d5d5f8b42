"""Points, sizes and boxes in exact millimetres."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.layout.geometry import Box, Margins, Point, Size
from watcher.terms import Turn

_mm = st.fractions(-500, 500, max_denominator=100)


def box(left, bottom, right, top):
    return Box(*map(Fraction, (left, bottom, right, top)))


@st.composite
def boxes(draw):
    (left, right), (bottom, top) = (sorted((draw(_mm), draw(_mm))) for _ in range(2))
    return Box(left, bottom, right, top)


@pytest.mark.parametrize(("turn", "size"), [(Turn.NONE, (5, 7)), (Turn.LEFT, (7, 5)), (Turn.HALF, (5, 7))])
def test_a_quarter_turn_exchanges_width_and_height(turn, size):
    assert Size(Fraction(5), Fraction(7)).turned(turn) == Size(*map(Fraction, size))


def test_a_square_counts_as_portrait():
    assert not Size(Fraction(5), Fraction(5)).is_landscape
    assert Size(Fraction(6), Fraction(5)).is_landscape


def test_margins_are_taken_off_each_side_by_its_name():
    margins = Margins(top=Fraction(1), right=Fraction(2), bottom=Fraction(3), left=Fraction(4))
    assert box(0, 0, 20, 30).within(margins) == box(4, 3, 18, 29)


def test_boxes_that_touch_do_not_overlap():
    assert not box(0, 0, 5, 5).overlaps(box(5, 0, 9, 5))
    assert box(0, 0, 5, 5).overlaps(box(Fraction(499, 100), 0, 9, 5))


def test_a_box_contains_what_touches_its_edges_from_inside():
    assert box(0, 0, 5, 5).contains(box(0, 1, 5, 5))
    assert not box(0, 0, 5, 5).contains(box(0, 1, Fraction(501, 100), 5))


def test_the_part_common_to_two_boxes():
    assert box(0, 0, 5, 5).meet(box(3, -2, 9, 4)) == box(3, 0, 5, 4)
    with pytest.raises(ValueError, match="do not meet"):
        box(0, 0, 5, 5).meet(box(6, 0, 9, 5))


def test_nothing_has_no_outline():
    with pytest.raises(ValueError, match="empty"):
        Box.around([])


@given(boxes(), boxes())
def test_the_outline_of_two_boxes_contains_both(one, other):
    outline = Box.around([one, other])
    assert outline.contains(one)
    assert outline.contains(other)


@given(boxes(), _mm, _mm)
def test_a_moved_box_keeps_its_size_and_moves_its_centre(one, dx, dy):
    moved = one.moved(dx, dy)
    assert moved.size == one.size
    assert moved.centre == Point(one.centre.x + dx, one.centre.y + dy)
    assert moved.moved(-dx, -dy) == one
