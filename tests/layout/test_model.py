"""What a layout and a cut plan say of themselves."""

from fractions import Fraction

from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Point
from watcher.layout.lay_out import lay_out
from watcher.layout.model import Mark


def test_waste_is_the_part_of_the_sheet_that_is_no_card(make_request):
    layout = lay_out(make_request())
    assert layout.up == 2
    assert layout.waste == 1 - 2 * Fraction(127) * Fraction("177.8") / (Fraction("215.9") * Fraction("279.4"))


def test_a_mark_is_a_box_without_width_in_whichever_direction_it_was_drawn():
    mark = Mark(start=Point(Fraction(3), Fraction(9)), end=Point(Fraction(3), Fraction(4)))
    assert (mark.box.left, mark.box.bottom, mark.box.right, mark.box.top) == (3, 4, 3, 9)


def test_strokes_shorter_than_the_cutter_holds_are_too_short(make_request):
    layout = lay_out(make_request())
    assert plan_cuts(layout).too_short == ()
    plan = plan_cuts(layout, least_gauge=Fraction(150))
    assert plan.too_short == tuple(stroke for stroke in plan.strokes if stroke.gauge < 150)
    assert plan.too_short


def test_a_stroke_is_upright_when_an_upright_edge_lies_at_the_gauge(make_request):
    """Two cards one above the other: the left and the right edge are cut, and twice two level ones."""
    strokes = plan_cuts(lay_out(make_request())).strokes
    assert [stroke.is_upright for stroke in strokes] == [stroke.against in ("left", "right") for stroke in strokes]
    assert sum(stroke.is_upright for stroke in strokes) == 2
