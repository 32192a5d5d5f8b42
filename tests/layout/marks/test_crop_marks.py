"""Crop marks and ticks: worked examples, and what must hold on every sheet."""

from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.marks.crop_marks import marks_behind, plan_marks
from watcher.terms import Flip

EXAMPLES = 400 if LONG else 7
BUSINESS_CARD = Size(Fraction("88.9"), Fraction("50.8"))
NOTHING = Fraction(0)


def _box(mark):
    xs, ys = sorted((mark.start.x, mark.end.x)), sorted((mark.start.y, mark.end.y))
    return Box(xs[0], ys[0], xs[1], ys[1])


def _numbers(marks):
    return {tuple(float(edge) for edge in (box.left, box.bottom, box.right, box.top)) for box in map(_box, marks)}


def _length(mark):
    return max(_box(mark).width, _box(mark).height)


def _on_line(marks, *, x=None, y=None):
    return {box for box in _numbers(marks) if (box[0] == box[2] == x) or (box[1] == box[3] == y)}


def test_two_invitations_on_letter_have_marks_at_the_sides_and_ticks_below(make_request):
    """5 x 7 in 2-up: 9.525 mm below the block, all bleed but the rim, has no room for a mark (common practice)."""
    plan = plan_marks(lay_out(make_request()))
    assert plan.missing == 0
    assert _on_line(plan.marks, y=9.525) == {(10.675, 9.525, 15.675, 9.525), (200.225, 9.525, 205.225, 9.525)}
    assert _on_line(plan.marks, x=19.05) == {
        (19.05, 6.35, 19.05, 8.525),  # 1 mm off the trim, down to the rim
        (19.05, 138.2, 19.05, 141.2),  # 3 mm in the middle of the gutter
        (19.05, 270.875, 19.05, 273.05),
    }
    assert len(plan.marks) == 4 * 2 + 2 * 3


def test_where_the_rim_has_room_marks_stand_at_the_ends_only(make_request):
    """One card: two marks for each of four lines, 3.375 mm off the trim (bleed and 0.2 mm), 5 mm long."""
    layout = lay_out(make_request(trim=BUSINESS_CARD, sheet=Size(Fraction(150), Fraction(100)), two_sided=False))
    marks = plan_marks(layout).marks
    assert layout.up == 1
    assert len(marks) == 8
    assert all(_length(mark) == 5 for mark in marks)
    assert _on_line(marks, x=30.55) == {(30.55, 16.225, 30.55, 21.225), (30.55, 78.775, 30.55, 83.775)}


def test_without_bleed_a_mark_keeps_two_millimetres_off(make_request):
    room = {"sheet": Size(Fraction(150), Fraction(100)), "bleed": NOTHING, "least_bleed": NOTHING, "two_sided": False}
    marks = plan_marks(lay_out(make_request(trim=BUSINESS_CARD, **room))).marks
    assert _on_line(marks, x=30.55) == {(30.55, 17.6, 30.55, 22.6), (30.55, 77.4, 30.55, 82.4)}


def test_neighbours_that_share_a_cut_share_its_marks(make_request):
    """3 x 4 cards with shared cuts and room around: (3 + 1) + (4 + 1) lines, two marks each."""
    no_bleed = {"bleed": NOTHING, "least_bleed": NOTHING, "gutter": NOTHING}
    sheet = Size(Fraction(190), Fraction(400))
    layout = lay_out(make_request(trim=Size(Fraction(50), Fraction(90)), sheet=sheet, mixed_turns=False, **no_bleed))
    assert layout.up == 12
    assert len(plan_marks(layout).marks) == 2 * (4 + 5)


def test_a_card_that_fills_the_printable_area_has_no_marks_and_says_so(make_request):
    card = Size(Fraction("203.2"), Fraction("266.7"))
    plan = plan_marks(lay_out(make_request(trim=card, bleed=NOTHING, least_bleed=NOTHING)))
    assert (plan.marks, plan.missing) == ((), 4)


def test_a_line_that_another_card_stands_across_is_marked_on_its_own_side_only(make_request):
    """Two upright cards in one row, three turned in the other, 5-up: the cut between the two ends at the three."""
    no_bleed = {"bleed": NOTHING, "least_bleed": NOTHING, "gutter": NOTHING}
    sheet, card = Size(Fraction(220), Fraction(180)), Size(Fraction(90), Fraction(60))
    layout = lay_out(make_request(sheet=sheet, trim=card, unprintable=Margins.all_round(Fraction(5)), **no_bleed))
    assert layout.up == 5
    assert _on_line(plan_marks(layout).marks, x=110) == {(110, 8, 110, 13)}


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_every_mark_is_printable_and_a_millimetre_off_every_trim(draw_layout, data):
    layout = draw_layout(data)
    trims = [place.front.trim for place in layout.places]
    for mark in plan_marks(layout).marks:
        box = _box(mark)
        assert layout.printable.contains(box)
        assert not any(box.grown(Fraction(1)).overlaps(trim) for trim in trims)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_every_mark_lies_along_the_edge_of_a_trim(draw_layout, data):
    layout = draw_layout(data)
    trims = [place.front.trim for place in layout.places]
    xs = {edge for trim in trims for edge in (trim.left, trim.right)}
    ys = {edge for trim in trims for edge in (trim.bottom, trim.top)}
    for mark in plan_marks(layout).marks:
        upright, level = mark.start.x == mark.end.x, mark.start.y == mark.end.y
        assert upright is not level
        assert mark.start.x in xs if upright else mark.start.y in ys


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_only_short_ticks_lie_on_bleed(draw_layout, data):
    layout = draw_layout(data)
    clear = [place.front.bleed_box.grown(Fraction("0.2")) for place in layout.places]
    for mark in plan_marks(layout).marks:
        assert 1 <= _length(mark) <= 5
        if any(
            _box(mark).grown(Fraction(1, 1000)).overlaps(bleed_box.grown(-Fraction(1, 1000))) for bleed_box in clear
        ):
            assert _length(mark) <= 3


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_no_mark_lies_on_another(draw_layout, data):
    marks = plan_marks(draw_layout(data)).marks
    boxes = [(mark.start.x == mark.end.x, _box(mark)) for mark in marks]
    for number, (upright, box) in enumerate(boxes):
        for other_upright, other in boxes[:number]:
            if upright is other_upright and (box.left == other.left if upright else box.bottom == other.bottom):
                assert box.top < other.bottom or other.top < box.bottom or not upright
                assert box.right < other.left or other.right < box.left or upright


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_every_trim_edge_has_a_mark_unless_counted_as_missing(draw_layout, data):
    layout = draw_layout(data)
    plan = plan_marks(layout)
    trims = [place.front.trim for place in layout.places]
    boxes = [_box(mark) for mark in plan.marks]
    xs = {edge for trim in trims for edge in (trim.left, trim.right)} - {box.left for box in boxes if box.width == 0}
    ys = {edge for trim in trims for edge in (trim.bottom, trim.top)} - {box.top for box in boxes if box.height == 0}
    uncut = len(xs & {0, layout.sheet.width}) + len(ys & {0, layout.sheet.height})  # there the paper ends by itself
    assert len(xs) + len(ys) - uncut <= plan.missing


@settings(max_examples=max(5, EXAMPLES // 3), deadline=None)
@given(st.data())
def test_the_same_marks_are_right_on_the_back(draw_layout, data):
    """Behind every mark lies one on the edge of a back, off all backs; turned over again they are the fronts' marks."""
    layout = draw_layout(data)
    assume(layout.flip)
    marks = plan_marks(layout).marks
    behind = marks_behind(marks, layout.sheet, layout.flip)
    backs = [place.back.trim for place in layout.places]
    edges = {edge for back in backs for edge in (back.left, back.right, back.bottom, back.top)}
    assert all(mark.start.x in edges or mark.start.y in edges for mark in behind)
    assert not any(_box(mark).grown(Fraction(1)).overlaps(back) for mark in behind for back in backs)
    assert marks_behind(behind, layout.sheet, layout.flip) == marks


@pytest.mark.parametrize("flip", Flip)
def test_marks_of_a_centred_block_lie_behind_themselves(make_request, flip):
    layout = lay_out(make_request(flip=flip))
    marks = plan_marks(layout).marks
    assert _numbers(marks_behind(marks, layout.sheet, flip)) == _numbers(marks)
