"""No plan has fewer strokes: each is compared with a search over all strokes.

The search works on plain boxes, from the printed sheet outwards: every line on which any trim lies, every edge, every
subset of the pieces at it, whether they need the cut or not. The shortest way wins (A* with the number of lines left).
"""

import heapq
import itertools
from fractions import Fraction

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.layout.cuts.on_paper import EXAMPLES, carry_out, layout_of
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Box, Size


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
    layout = layout_of(
        Size(*(side * scale for side in sheet)), [Box(*(edge * scale for edge in card)) for card in cards]
    )
    plan = plan_cuts(layout)
    assert len(plan.strokes) == fewest
    carry_out(layout, plan)
