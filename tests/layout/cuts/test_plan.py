"""Cut plans carried out on paper, and worked examples."""

import itertools
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.layout.cuts.on_paper import EXAMPLES, NOTHING, UPRIGHT, carry_out, layout_of
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.terms import Edge

BUSINESS_CARD = Size(Fraction("88.9"), Fraction("50.8"))
SHARED = {"bleed": NOTHING, "least_bleed": NOTHING, "gutter": NOTHING}


def _gauges(plan, *, upright):
    return [float(stroke.gauge) for stroke in plan.strokes if stroke.is_upright is upright]


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_every_plan_cuts_exactly_the_cards(draw_layout, data):
    layout = draw_layout(data)
    lead, guide = data.draw(
        st.sampled_from([(None, None), *itertools.product((Edge.TOP, Edge.BOTTOM), UPRIGHT), (Edge.RIGHT, Edge.BOTTOM)])
    )
    plan = plan_cuts(layout, lead=lead, guide=guide)
    trims = {place.front.trim for place in layout.places}
    if not any(edge == 0 for trim in trims for edge in (trim.left, trim.bottom)):
        carry_out(layout, plan)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_no_gauge_is_shorter_than_a_card(draw_layout, data):
    layout = draw_layout(data)
    plan = plan_cuts(layout, least_gauge=Fraction(30))
    shortest = min(layout.trim.width, layout.trim.height)
    assert all(stroke.gauge >= shortest for stroke in plan.strokes)
    assert shortest < 30 or plan.too_short == ()


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_layouts_of_ours_need_one_stroke_a_line(draw_layout, data):
    """No plan has fewer strokes than there are lines that trims lie on."""
    layout = draw_layout(data)
    trims = [place.front.trim for place in layout.places]
    across = {x for trim in trims for x in (trim.left, trim.right)} - {0, layout.sheet.width}
    upward = {y for trim in trims for y in (trim.bottom, trim.top)} - {0, layout.sheet.height}
    assert len(plan_cuts(layout).strokes) == len(across) + len(upward)


# -- worked examples ---------------------------------------------------------------------------------------------------


def test_gutters_are_cut_twice(make_request):
    """5 x 7 in 2-up on letter, 1/4 in gutter: 2 + 4 strokes (common practice, no source)."""
    plan = plan_cuts(lay_out(make_request()))
    assert _gauges(plan, upright=True) == [196.85, 177.8]
    assert _gauges(plan, upright=False) == [269.875, 260.35, 133.35, 127.0]
    assert [stroke.against for stroke in plan.strokes] == ["left", "right", "top", "bottom", "bottom", "bottom"]
    assert [all(beyond is None for _, beyond in stroke.gives) for stroke in plan.strokes] == [True] * 4 + [False, True]


def test_strips_are_cut_together(make_request):
    plan = plan_cuts(lay_out(make_request(trim=BUSINESS_CARD, **SHARED)))
    assert [len(stroke.pieces) for stroke in plan.strokes] == [1, 1, 1, 1, 1, 4, 4, 4, 4]
    assert [beyond.name for _, beyond in plan.strokes[-1].gives] == ["card 5", "card 6", "card 7", "card 8"]


def test_the_first_cut_of_each_axis_is_at_the_edges_that_the_printer_works_from(make_request):
    layout = lay_out(make_request(trim=BUSINESS_CARD, **SHARED))
    plan = plan_cuts(layout, lead=Edge.BOTTOM, guide=Edge.RIGHT)
    assert [(stroke.number, stroke.against) for stroke in plan.strokes if stroke.to_the_mark] == [
        (1, "right"),
        (6, "bottom"),
    ]
    assert plan.strokes[1].against is Edge.LEFT


def test_lead_and_guide_may_change_places(make_request):
    """The long edge goes in first: lead is an upright edge of the front."""
    layout = lay_out(make_request())
    plan = plan_cuts(layout, lead=Edge.RIGHT, guide=Edge.BOTTOM)
    assert {stroke.against for stroke in plan.strokes if stroke.to_the_mark} == {"right", "bottom"}


def test_four_that_fill_the_sheet_need_two_cuts(make_request):
    """4.25 x 5.5 in four up on letter, edge to edge (by hand)."""
    card = Size(Fraction("107.95"), Fraction("139.7"))
    layout = lay_out(make_request(trim=card, unprintable=Margins.all_round(NOTHING), **SHARED))
    plan = plan_cuts(layout)
    assert layout.up == 4
    assert [(stroke.against, float(stroke.gauge)) for stroke in plan.strokes] == [("left", 107.95), ("top", 139.7)]
    carry_out(layout, plan)


def test_three_across_that_fill_the_sheet_are_gauged_from_one_printed_edge_only():
    sheet = Size(Fraction(240), Fraction(90))
    layout = layout_of(sheet, [Box.at(Fraction(x), NOTHING, Size(Fraction(80), Fraction(90))) for x in (0, 80, 160)])
    plan = plan_cuts(layout)
    assert [(stroke.against, float(stroke.gauge)) for stroke in plan.strokes] == [("left", 160.0), ("right", 80.0)]


def test_a_card_in_a_corner_of_the_sheet_is_gauged_from_that_corner():
    """The leading edge would have waste at the gauge; the other printed edges do."""
    layout = layout_of(Size(Fraction(100), Fraction(100)), [Box(*map(Fraction, (40, 0, 100, 60)))])
    plan = plan_cuts(layout)
    assert {(stroke.against.value, float(stroke.gauge)) for stroke in plan.strokes} == {("right", 60), ("bottom", 60)}


def test_a_card_as_large_as_the_sheet_needs_no_cut():
    sheet = Size(Fraction(100), Fraction(100))
    assert plan_cuts(layout_of(sheet, [Box.at(NOTHING, NOTHING, sheet)])).strokes == ()


def test_cards_too_small_for_the_clamp_are_told(make_request):
    """25 mm across: the last cuts of that axis have a gauge of 25 mm whatever one does."""
    layout = lay_out(make_request(trim=Size(Fraction(25), Fraction(90)), mixed_turns=False, **SHARED))
    short = plan_cuts(layout, least_gauge=Fraction(30)).too_short
    assert {float(stroke.gauge) for stroke in short} == {25.0}
    assert len(short) == 1


def test_mixed_turns_are_parted_before_they_are_cut_up(make_request):
    """Two upright cards in one row and three turned in the other, shared cuts: one stroke a line."""
    sheet, card = Size(Fraction(220), Fraction(180)), Size(Fraction(90), Fraction(60))
    layout = lay_out(make_request(sheet=sheet, trim=card, unprintable=Margins.all_round(Fraction(5)), **SHARED))
    plan = plan_cuts(layout)
    assert layout.mixed
    assert len(plan.strokes) == 8
    carry_out(layout, plan)


def test_a_pattern_that_no_guillotine_can_part_is_refused():
    """The pinwheel: four cards round a hole."""
    boxes = [(0, 0, 30, 20), (30, 0, 50, 30), (20, 30, 50, 50), (0, 20, 20, 50)]
    with pytest.raises(ValueError, match="guillotine"):
        plan_cuts(
            layout_of(
                Size(Fraction(60), Fraction(60)),
                [Box(*map(Fraction, box)).moved(Fraction(5), Fraction(5)) for box in boxes],
            )
        )


def test_the_same_sheet_has_the_same_plan(make_request):
    layout = lay_out(make_request(sheet=Size(Fraction("330.2"), Fraction("482.6")), trim=BUSINESS_CARD))
    first = plan_cuts(layout)
    plan_cuts.cache_clear()
    assert plan_cuts(layout) == first
    assert layout.mixed
