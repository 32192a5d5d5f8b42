"""Cut plans carried out on paper, and held to a search over all strokes."""

import heapq
import itertools
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.model import Face, Layout, Place
from watcher.terms import Edge, Turn

EXAMPLES = 400 if LONG else 8
NOTHING = Fraction(0)
UPRIGHT = (Edge.LEFT, Edge.RIGHT)
BUSINESS_CARD = Size(Fraction("88.9"), Fraction("50.8"))
SHARED = {"bleed": NOTHING, "least_bleed": NOTHING, "gutter": NOTHING}


def _layout(sheet, boxes):
    """A sheet with trims just there."""
    faces = [Face(trim=box, bleed_box=box, turn=Turn.NONE) for box in boxes]
    return Layout(
        sheet=sheet,
        trim=boxes[0].size,
        bleed=NOTHING,
        places=tuple(Place(number=number, front=face, back=None) for number, face in enumerate(faces, start=1)),
        printable=Box.at(NOTHING, NOTHING, sheet),
        flip=None,
        cut_lines=0,
        mixed=False,
    )


def _gauges(plan, *, upright):
    return [float(stroke.gauge) for stroke in plan.strokes if stroke.is_upright is upright]


# -- on paper ----------------------------------------------------------------------------------------------------------


class Paper:
    """Pieces of paper that know what is printed on them, and cut as they are told: names, an edge and a gauge alone."""

    def __init__(self, layout):
        whole = (0.0, 0.0, float(layout.sheet.width), float(layout.sheet.height))
        self.pieces = {"sheet": whole}
        self.fresh = {"sheet": {"left", "bottom", "right", "top"}}  # edges as they left the printer
        self.cards = {
            place.number: tuple(float(getattr(place.front.trim, edge)) for edge in ("left", "bottom", "right", "top"))
            for place in layout.places
        }
        self.begun = set()

    def cut(self, stroke):
        """One stroke; every rule of a good hand that can be seen on the paper is checked."""
        axis = 0 if stroke.against in UPRIGHT else 1
        side = axis + (2 if stroke.against in (Edge.RIGHT, Edge.TOP) else 0)
        names = [piece.name for piece in stroke.pieces]
        assert len({self.pieces[name][side] for name in names}) == 1, "pieces side by side at one gauge"
        for name, (near, beyond) in zip(names, stroke.gives, strict=True):
            piece, fresh = self.pieces.pop(name), self.fresh.pop(name)
            assert stroke.to_the_mark is (stroke.against.value in fresh)
            assert not (stroke.to_the_mark and axis in self.begun)
            gauge = float(stroke.gauge)
            knife = piece[side] - gauge if side > 1 else piece[side] + gauge
            assert piece[axis] + 0.01 < knife < piece[axis + 2] - 0.01
            self._divide(piece, fresh, axis, side, knife, near.name, beyond.name if beyond else None)
        self.begun.add(axis)

    def _divide(self, piece, fresh, axis, side, knife, near, beyond):
        at_gauge, other = list(piece), list(piece)
        facing = side - 2 if side > 1 else side + 2
        at_gauge[facing], other[side] = knife, knife
        edges = ("left", "bottom", "right", "top")
        assert near not in self.pieces
        self.pieces[near], self.fresh[near] = tuple(at_gauge), fresh - {edges[facing]}
        assert self._cards_on(at_gauge), "waste falls away in front"
        if beyond is None:
            assert self._cards_on(other) == []
        else:
            assert beyond not in self.pieces
            self.pieces[beyond], self.fresh[beyond] = tuple(other), fresh - {edges[side]}
        for card in self.cards.values():
            inside = piece[axis] < card[axis] + 0.01 and card[axis + 2] < piece[axis + 2] + 0.01
            across = piece[1 - axis] < card[1 - axis] + 0.01 and card[3 - axis] < piece[3 - axis] + 0.01
            assert not (inside and across and card[axis] + 0.01 < knife < card[axis + 2] - 0.01), "a card is cut into"

    def _cards_on(self, piece):
        return [
            number
            for number, card in self.cards.items()
            if piece[0] < card[0] + 0.01
            and piece[1] < card[1] + 0.01
            and card[2] < piece[2] + 0.01
            and card[3] < piece[3] + 0.01
        ]


def _carry_out(layout, plan):
    """Cut a sheet by the plan: exactly the cards are left, each of trim size."""
    paper = Paper(layout)
    for number, stroke in enumerate(plan.strokes, start=1):
        assert stroke.number == number
        paper.cut(stroke)
    assert set(paper.pieces) == {f"card {number}" for number in paper.cards}
    for number, card in paper.cards.items():
        assert paper.pieces[f"card {number}"] == pytest.approx(card, abs=0.005)


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
        _carry_out(layout, plan)


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
    _carry_out(layout, plan)


def test_three_across_that_fill_the_sheet_are_gauged_from_one_printed_edge_only():
    sheet = Size(Fraction(240), Fraction(90))
    layout = _layout(sheet, [Box.at(Fraction(x), NOTHING, Size(Fraction(80), Fraction(90))) for x in (0, 80, 160)])
    plan = plan_cuts(layout)
    assert [(stroke.against, float(stroke.gauge)) for stroke in plan.strokes] == [("left", 160.0), ("right", 80.0)]


def test_a_card_in_a_corner_of_the_sheet_is_gauged_from_that_corner():
    """The leading edge would have waste at the gauge; the other printed edges do."""
    layout = _layout(Size(Fraction(100), Fraction(100)), [Box(*map(Fraction, (40, 0, 100, 60)))])
    plan = plan_cuts(layout)
    assert {(stroke.against.value, float(stroke.gauge)) for stroke in plan.strokes} == {("right", 60), ("bottom", 60)}


def test_a_card_as_large_as_the_sheet_needs_no_cut():
    sheet = Size(Fraction(100), Fraction(100))
    assert plan_cuts(_layout(sheet, [Box.at(NOTHING, NOTHING, sheet)])).strokes == ()


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
    _carry_out(layout, plan)


def test_a_pattern_that_no_guillotine_can_part_is_refused():
    """The pinwheel: four cards round a hole."""
    boxes = [(0, 0, 30, 20), (30, 0, 50, 30), (20, 30, 50, 50), (0, 20, 20, 50)]
    with pytest.raises(ValueError, match="guillotine"):
        plan_cuts(
            _layout(
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


# -- a search over all strokes -----------------------------------------------------------------------------------------
#
# Works on plain boxes, from the printed sheet outwards: every line on which any trim lies, every edge, every subset of
# the pieces at it, whether they need the cut or not. The shortest way wins (A* with the number of lines left).


def _lines(pieces, cards, axis):
    found = set()
    for piece in pieces:
        for card in cards:
            if _holds(piece, card):
                found |= {edge for edge in (card[axis], card[axis + 2]) if piece[axis] < edge < piece[axis + 2]}
    return found


def _holds(piece, card):
    return piece[0] <= card[0] and piece[1] <= card[1] and card[2] <= piece[2] and card[3] <= piece[3]


def _moves(pieces, cards, sheet, begun):
    for axis in (0, 1):
        printed = {0: 0, 1: sheet[axis]}
        must = {piece for piece in pieces if _lines([piece], cards, axis)}
        tables = {}
        for line, piece in itertools.product(_lines(pieces, cards, axis), pieces):
            mine = [card for card in cards if _holds(piece, card)]
            if not piece[axis] < line < piece[axis + 2] or any(card[axis] < line < card[axis + 2] for card in mine):
                continue
            for high in (0, 1):
                edge = piece[axis + 2 * high]
                good = any((card[axis] >= line) if high else (card[axis + 2] <= line) for card in mine)
                first = edge == printed[high]
                if good and (not begun[axis] and first and high == axis if first else begun[axis]):
                    tables.setdefault((line, high, edge), []).append(piece)
        for (line, _, _), table in tables.items():
            for count in range(1, len(table) + 1):
                for chosen in itertools.combinations(table, count):
                    if begun[axis] or must <= set(chosen):
                        yield axis, line, chosen


def _after(pieces, cards, axis, line, chosen):
    left = set(pieces) - set(chosen)
    for piece in chosen:
        for part in (piece[: axis + 2] + (line,) + piece[axis + 3 :], piece[:axis] + (line,) + piece[axis + 1 :]):
            if any(_lines([part], cards, one) for one in (0, 1)):
                left.add(part)
    return frozenset(left)


def _fewest(sheet, cards, most_states=3000):
    """The number of strokes of the shortest plan; None when there is none, or too much to look through."""
    start = (frozenset([(0, 0, *sheet)]), (False, False))
    best, heap, ticket = {start: 0}, [], itertools.count()
    heapq.heappush(heap, (0, 0, next(ticket), start))
    for _ in range(most_states):
        if not heap:
            return None
        _, less, _, (pieces, begun) = heapq.heappop(heap)
        if not any(_lines(pieces, cards, axis) for axis in (0, 1)):
            return -less
        for axis, line, chosen in _moves(pieces, cards, sheet, begun):
            state = (
                _after(pieces, cards, axis, line, chosen),
                (begun[0] or axis == 0, begun[1] or axis == 1),
            )
            strokes = 1 - less
            if strokes < best.get(state, 99):
                best[state] = strokes
                bound = strokes + sum(len(_lines(state[0], cards, one)) for one in (0, 1))
                heapq.heappush(heap, (bound, -strokes, next(ticket), state))
    return None


@st.composite
def _parted(draw, most=5):
    """A sheet parted at random, a card in each part that is large enough, with odd rims: nothing tidy about it."""
    width, height = draw(st.integers(3, 7)), draw(st.integers(3, 7))
    gutter = draw(st.sampled_from([0, 0, 1]))

    def part(x, y, across, up, depth):
        fits = [(a, b) for a, b in ((width, height), (height, width)) if a <= across and b <= up]
        if not fits:
            return []
        sums = sorted({a * width + b * height + (a + b) * gutter for a in range(4) for b in range(4)} - {0})
        axis = draw(st.booleans())
        cuts = [one for one in sums if one < (across if axis else up)]
        if depth == 0 or not cuts:
            a, b = draw(st.sampled_from(fits))
            return [(x, y, x + a, y + b)]
        at = draw(st.sampled_from(cuts))
        if axis:
            return part(x, y, at - gutter, up, depth - 1) + part(x + at, y, across - at, up, depth - 1)
        return part(x, y, across, at - gutter, depth - 1) + part(x, y + at, across, up - at, depth - 1)

    sheet = draw(st.integers(10, 26)), draw(st.integers(10, 26))
    cards = part(1, 1, sheet[0] - 2, sheet[1] - 2, draw(st.integers(1, 4)))
    assume(2 <= len(cards) <= most)
    return sheet, cards


@settings(max_examples=EXAMPLES, deadline=None)
@given(_parted())
def test_no_plan_has_fewer_strokes(drawn):
    sheet, cards = drawn
    fewest = _fewest(sheet, cards)
    assume(fewest is not None)
    scale = Fraction(10)
    layout = _layout(Size(*(side * scale for side in sheet)), [Box(*(edge * scale for edge in card)) for card in cards])
    plan = plan_cuts(layout)
    assert len(plan.strokes) == fewest
    _carry_out(layout, plan)
