"""Room for ruler and slug line: worked examples, and what must hold on every sheet."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.marks.crop_marks import plan_marks
from watcher.layout.marks.slug import place_slug
from watcher.terms import Turn

EXAMPLES = 300 if LONG else 6
RULER = (Fraction(115), Fraction("4.5"))
TEXT = (Fraction(170), Fraction(3))
CLEAR = Fraction("0.5")


def _obstacles(layout, marks, taken=()):
    boxes = [*(place.front.bleed_box for place in layout.places), *(mark.box for mark in marks), *taken]
    return [box.grown(CLEAR) for box in boxes]


def _free_spots(area, size, obstacles):
    """Which lower left corners on a grid of 3 mm leave a box of `size` free; in floats, with a micrometre to spare."""
    right, up = (max(0, int(room)) + 1 for room in (area.width - size.width, area.height - size.height))
    x, y = np.meshgrid(float(area.left) + np.arange(0, right, 3), float(area.bottom) + np.arange(0, up, 3))
    x_end, y_end = x + float(size.width) + 0.001, y + float(size.height) + 0.001
    free = (x_end < float(area.right)) & (y_end < float(area.top))
    for box in obstacles:
        left, bottom, right, top = (float(edge) for edge in (box.left, box.bottom, box.right, box.top))
        free &= (x_end < left) | (right < x) | (y_end < bottom) | (top < y)
    return free


def test_two_invitations_on_letter_leave_room_at_the_sides_in_spite_of_the_marks(make_request):
    """5 x 7 in 2-up: rims of 9.525 mm left and right, between the printer's rim and the bleed."""
    layout = lay_out(make_request())
    marks = plan_marks(layout).marks
    ruler = place_slug(layout, marks, *RULER)
    text = place_slug(layout, marks, *TEXT, taken=(ruler.box,))
    assert (ruler.turn, text.turn) == (Turn.LEFT, Turn.LEFT)
    assert (ruler.box.left, ruler.box.size) == (Fraction("6.35"), Size(Fraction("4.5"), Fraction(115)))
    assert (text.box.right, text.box.size) == (Fraction("209.55"), Size(Fraction(3), Fraction(170)))


def test_a_line_keeps_clear_of_what_was_put_there_before(make_request):
    """Half a millimetre between two lines, one above the other in a rim of 60 mm at the foot."""
    foot = Margins(top=Fraction(5), right=Fraction(5), bottom=Fraction(60), left=Fraction(5))
    layout = lay_out(make_request(two_sided=False, flip=None, unprintable=foot))
    layout = replace(layout, printable=Box(Fraction(5), Fraction(5), Fraction(210), Fraction(274)))
    first = place_slug(layout, (), *RULER)
    second = place_slug(layout, (), *RULER, taken=(first.box,))
    assert not first.box.grown(CLEAR).overlaps(second.box)
    assert second.box.bottom == first.box.top + CLEAR


BELOW, ABOVE = ("0", "0", "210", "85"), ("0", "212", "210", "297")
LEFT, RIGHT = ("0", "0", "42", "297"), ("168", "0", "210", "297")


@pytest.mark.parametrize(
    ("taken", "turn", "edge", "at"),
    [
        ((), Turn.NONE, "bottom", 5),
        ((BELOW,), Turn.NONE, "top", 292),
        ((BELOW, ABOVE), Turn.LEFT, "left", 5),
        ((BELOW, ABOVE, LEFT), Turn.LEFT, "right", 205),
    ],
)
def test_it_is_looked_for_below_above_left_and_right(make_request, taken, turn, edge, at):
    """A4 with one card of 120 x 120 mm in the middle and a rim of 5 mm; what is taken fills a side."""
    layout = lay_out(
        make_request(
            sheet=Size(Fraction(210), Fraction(297)),
            trim=Size(Fraction(120), Fraction(120)),
            unprintable=Margins.all_round(Fraction(5)),
        )
    )
    boxes = tuple(Box(*(Fraction(edge) for edge in box)) for box in taken)
    found = place_slug(layout, (), Fraction(100), Fraction(4), boxes)
    assert (found.turn, getattr(found.box, edge)) == (turn, at)


def test_a_gap_between_the_cards_does_too(make_request):
    """Two cards with 20 mm between them, and no room around."""
    layout = lay_out(
        make_request(
            sheet=Size(Fraction(120), Fraction(220)),
            trim=Size(Fraction(120), Fraction(100)),
            bleed=Fraction(0),
            least_bleed=Fraction(0),
            gutter=Fraction(20),
            unprintable=Margins.all_round(Fraction(0)),
        )
    )
    found = place_slug(layout, (), *RULER)
    assert (found.turn, found.box.bottom, found.box.centre.x) == (Turn.NONE, Fraction("100.5"), 60)


def test_what_has_no_room_is_left_out(make_request):
    card = Size(Fraction("203.2"), Fraction("266.7"))
    layout = lay_out(make_request(trim=card, bleed=Fraction(0), least_bleed=Fraction(0)))
    assert place_slug(layout, (), *TEXT) is None


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_it_is_printable_and_clear_of_bleed_marks_and_what_is_there(draw_layout, data):
    layout = draw_layout(data)
    marks = plan_marks(layout).marks
    ruler = place_slug(layout, marks, *RULER)
    assume(ruler)
    text = place_slug(layout, marks, *TEXT, taken=(ruler.box,))
    for found, taken, (length, thickness) in ((ruler, (), RULER), (text, (ruler.box,), TEXT)):
        if found:
            assert layout.printable.contains(found.box)
            assert not any(found.box.overlaps(other) for other in _obstacles(layout, marks, taken))
            assert found.box.size.turned(found.turn) == Size(length, thickness)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_where_none_is_found_a_look_at_every_three_millimetres_finds_none(draw_layout, data):
    layout = draw_layout(data)
    length, thickness = Fraction(data.draw(st.integers(40, 150))), Fraction(data.draw(st.integers(3, 12)))
    while place_slug(layout, (), length, thickness) is not None:  # that what is found is free is tested above
        thickness += 3
    for size in (Size(length, thickness), Size(thickness, length)):
        assert not _free_spots(layout.printable, size, _obstacles(layout, ())).any()
