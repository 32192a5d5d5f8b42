"""Register crosses: in the rim, clear of everything, the same on both faces."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.layout.geometry import Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.marks.crop_marks import marks_behind, plan_marks
from watcher.layout.marks.register_crosses import CLEAR_MM, CROSS_MM, LEAST_CROSS_MM, register_crosses

EXAMPLES = 300 if LONG else 6
ROOMY = Size(Fraction(300), Fraction(300))


def test_a_cross_stands_on_each_side_that_has_room(make_request):
    crosses = register_crosses(lay_out(make_request(sheet=ROOMY, unprintable=Margins.all_round(Fraction(5)))), ())
    assert len(crosses) == 2 * 4
    assert {max(mark.box.width, mark.box.height) for mark in crosses} == {CROSS_MM}


def test_where_there_is_no_room_there_is_none(make_request):
    nothing = {"bleed": Fraction(0), "least_bleed": Fraction(0)}
    layout = lay_out(make_request(trim=Size(Fraction("203.2"), Fraction("266.7")), **nothing))
    assert register_crosses(layout, ()) == ()


def test_a_cross_goes_aside_for_what_is_there_already(make_request):
    layout = lay_out(make_request(sheet=ROOMY))
    free = register_crosses(layout, ())
    there = [mark.box.grown(Fraction(2)) for mark in free]
    aside = register_crosses(layout, (), there)
    assert len(aside) == len(free)
    assert not any(mark.box.grown(CLEAR_MM).overlaps(box) for mark in aside for box in there)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_every_cross_is_printable_and_clear_of_bleed_and_marks(draw_layout, data):
    layout = draw_layout(data)
    marks = plan_marks(layout).marks
    for level, upright in zip(*[iter(register_crosses(layout, marks))] * 2, strict=True):
        around = level.box.grown(Fraction(0))
        assert layout.printable.contains(level.box)
        assert layout.printable.contains(upright.box)
        assert LEAST_CROSS_MM <= around.width == upright.box.height
        assert level.box.centre == upright.box.centre
        inked = [place.front.bleed_box for place in layout.places]
        assert not any(arm.box.grown(CLEAR_MM).overlaps(bleed_box) for arm in (level, upright) for bleed_box in inked)
        assert not any(arm.box.grown(CLEAR_MM).overlaps(mark.box) for arm in (level, upright) for mark in marks)


@pytest.mark.parametrize("axis", ["x", "y"])
def test_crosses_lie_behind_themselves_turned_twice(make_request, axis):
    layout = lay_out(make_request(sheet=ROOMY))
    crosses = register_crosses(layout, plan_marks(layout).marks)
    assert marks_behind(marks_behind(crosses, layout.sheet, layout.flip), layout.sheet, layout.flip) == crosses
    assert all(getattr(mark.start, axis) <= getattr(mark.end, axis) for mark in crosses)
