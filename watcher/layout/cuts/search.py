"""Search for the fewest strokes that part a sheet. `plan.py` says what a stroke is and gives the rules of good cutting.

No plan has fewer strokes than there are lines to cut. A stroke that cuts everything that needs its line (a complete
one) brings the plan one stroke nearer to that bound, and later strokes find the same lines to cut as before, in smaller
pieces. So complete strokes are tried alone where there are any, those first that leave every other line a gauge common
to the pieces that need it; where each line is blocked in one of its pieces, strokes that cut the others are tried.
Depth first, with a memory for states, and again with one stroke more where the bound cannot be reached. Before all that
a first, quick pass does without looking whether lines keep a common gauge: for a tidy sheet it is enough.
tests/layout/cuts/test_fewest_strokes.py holds it to a search over all strokes.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from watcher.layout.cuts.pieces import Axis, Gauge, Piece, State, lines_needed, lines_without_gauge
from watcher.layout.whole_numbers import WholeBox

# Layouts of this program need a state a stroke; one that ties its lines into many knots keeps the best plan found. A
# state costs time with the cards on the sheet.
MOST_STATES, MOST_STATES_BY_CARDS = 4000, 60_000
MOST_STATES_QUICK = 3  # a stroke


class Rules(NamedTuple):
    """The rules of good cutting that depend on the printer.

    Attributes:
        sheet: width and height.
        printed_high: by axis, whether the printed edge to work from is the high one.
        any_printed: allow any printed edge to a piece that has no cut edge along the axis yet, and the sheet's own edge
            where cards end at it: nothing will be cut off there.
    """

    sheet: tuple[int, int]
    printed_high: tuple[bool, bool]
    any_printed: bool


class Cut(NamedTuple):
    """A stroke: the line, the edge at the gauge, and the pieces it goes through."""

    axis: Axis
    line: int
    gauge: Gauge
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class _Node:
    """A state of the search: the pieces left, the axes that have had a stroke, the last stroke and what it gave."""

    state: State
    begun: tuple[bool, bool] = (False, False)
    last: tuple[Axis, Gauge | None] = (Axis.X, None)
    last_pieces: State = frozenset()


class CutSearch:
    """The search for one sheet."""

    def __init__(self, trims: Iterable[WholeBox], rules: Rules) -> None:
        self.rules = rules
        self._pieces: dict[WholeBox, Piece] = {}
        self.sheet = self._piece(WholeBox(0, 0, *rules.sheet), tuple(trims))
        self._halves: dict[tuple[Piece, Axis, int], tuple[Piece | None, Piece | None]] = {}

    def fewest(self) -> list[Cut] | None:
        """The shortest plan found, or None where the rules allow none."""
        start = _Node(state=frozenset(() if self.sheet.is_done else (self.sheet,)))
        bound = lines_needed(start.state)
        quick = self._within(start, bound, most_states=MOST_STATES_QUICK * bound + 1, careful=False)
        if quick is not None:
            return quick
        most = MOST_STATES_QUICK * bound + min(MOST_STATES, MOST_STATES_BY_CARDS // len(self.sheet.cards))
        best = self._within(start, None, most_states=most)
        for strokes in range(bound, len(best or ())):
            found = self._within(start, strokes, most_states=most)
            if found is not None:
                return found
            if self._states > most:
                break
        return best

    def halves(self, piece: Piece, axis: Axis, line: int) -> tuple[Piece | None, Piece | None]:
        """The pieces below and above a line; None for waste."""
        key = (piece, axis, line)
        found = self._halves.get(key)
        if found is None:
            box = piece.box
            low_box = box._replace(right=line) if axis is Axis.X else box._replace(top=line)
            high_box = box._replace(left=line) if axis is Axis.X else box._replace(bottom=line)
            low = tuple(card for card in piece.cards if card[axis + 2] <= line)
            high = tuple(card for card in piece.cards if card[axis] >= line)
            found = (self._piece(low_box, low) if low else None, self._piece(high_box, high) if high else None)
            self._halves[key] = found
        return found

    def _piece(self, box: WholeBox, cards: tuple[WholeBox, ...]) -> Piece:
        """The object for a piece, always the same one, so that states compare quickly."""
        found = self._pieces.get(box)
        if found is None:
            found = self._pieces[box] = Piece(box, cards)
        return found

    # -- depth first ---------------------------------------------------------------------------------------------------

    def _within(self, start: _Node, strokes: int | None, *, most_states: int, careful: bool = True) -> list[Cut] | None:
        """The first plan found of at most so many strokes; without a number, the first at all."""
        self._states, self._most_states, self._careful = 0, most_states, careful
        self._tried: dict[tuple[State, tuple[bool, bool]], int] = {}
        return self._finish(start, 10**9 if strokes is None else strokes)

    def _finish(self, node: _Node, left: int) -> list[Cut] | None:
        if not node.state:
            return []
        self._states += 1
        key = (node.state, node.begun)
        if self._states > self._most_states or lines_needed(node.state) > left or self._tried.get(key, -1) >= left:
            return None
        self._tried[key] = left
        for cut in self._cuts(node):
            rest = self._finish(self._after(node, cut), left - 1)
            if rest is not None:
                return [cut, *rest]
        return None

    def _after(self, node: _Node, cut: Cut) -> _Node:
        begun = (node.begun[0] or cut.axis is Axis.X, node.begun[1] or cut.axis is Axis.Y)
        state = self._cut(node.state, cut)
        return _Node(state=state, begun=begun, last=(cut.axis, cut.gauge), last_pieces=state - node.state)

    def _cut(self, state: State, cut: Cut) -> State:
        after = set(state).difference(cut.pieces)
        for piece in cut.pieces:
            after.update(half for half in self.halves(piece, cut.axis, cut.line) if half and not half.is_done)
        return frozenset(after)

    # -- which strokes -------------------------------------------------------------------------------------------------

    def _cuts(self, node: _Node) -> Iterator[Cut]:
        """The strokes to try, the likeliest first; those that leave a line without a common gauge later."""
        complete, others = self._sorted_cuts(node)
        if not self._careful:
            yield from (self._squared(node, cut) for cut in complete[:1])
            return
        torn = lines_without_gauge(node.state)
        later = []
        for cut in (self._squared(node, cut) for cut in complete or others):
            if lines_without_gauge(self._cut(node.state, cut)) <= torn:
                yield cut
            else:
                later.append(cut)
        yield from later

    def _sorted_cuts(self, node: _Node) -> tuple[list[Cut], list[Cut]]:
        complete: list[Cut] = []
        others: list[Cut] = []
        for axis in Axis:
            needing: dict[int, int] = {}
            for piece in node.state:
                for line in piece.needed[axis]:
                    needing[line] = needing.get(line, 0) + 1
            for cut in self._cuts_along(node, axis):
                cutting = sum(cut.line in piece.needed[axis] for piece in cut.pieces)
                (complete if cutting == needing[cut.line] else others).append(cut)
        complete.sort(key=lambda cut: self._order(cut, node))
        others.sort(key=lambda cut: (-len(cut.pieces), *self._order(cut, node)))
        return complete, others

    def _order(self, cut: Cut, node: _Node) -> tuple[bool, bool, bool, bool, int, Gauge]:
        """Sort key: same axis, pieces of the last stroke, rims first, same edge, the longest gauge first."""
        is_rim = all(piece.is_rim(cut.axis, cut.line) for piece in cut.pieces)
        turns = (cut.axis, cut.gauge) != node.last
        put_down = node.last_pieces.isdisjoint(cut.pieces)
        return cut.axis is not node.last[0], put_down, not is_rim, turns, -abs(cut.line - cut.gauge.at), cut.gauge

    def _cuts_along(self, node: _Node, axis: Axis) -> Iterator[Cut]:
        open_pieces = [piece for piece in node.state if piece.needed[axis]]
        if not node.begun[axis] and not self.rules.any_printed:
            yield from self._first_cuts(open_pieces, axis)
            return
        found: dict[tuple[int, Gauge], list[Piece]] = {}
        for piece in open_pieces:
            for line in piece.free[axis]:
                for gauge in self._gauges(piece, axis, line, begun=node.begun[axis]):
                    found.setdefault((line, gauge), []).append(piece)
        for (line, gauge), pieces in found.items():
            yield Cut(axis, line, gauge, tuple(pieces))

    def _squared(self, node: _Node, cut: Cut) -> Cut:
        """The stroke with all further pieces at its gauge that lose only waste by it, whether they need it or not."""
        begun = node.begun[cut.axis]
        others = node.state.difference(cut.pieces)
        squared = (piece for piece in others if piece.needed[cut.axis] and self._only_squares(piece, cut, begun=begun))
        return cut._replace(pieces=(*cut.pieces, *squared))

    def _first_cuts(self, open_pieces: list[Piece], axis: Axis) -> Iterator[Cut]:
        """The only stroke along the axis at a printed edge: it must give every piece an edge to work from."""
        high = self.rules.printed_high[axis]
        gauge = Gauge(high, self.rules.sheet[axis] if high else 0)
        for line in {line for piece in open_pieces for line in piece.free[axis]}:
            if all(
                piece.can_be_cut(axis, line) and gauge in self._gauges(piece, axis, line, begun=False)
                for piece in open_pieces
            ):
                yield Cut(axis, line, gauge, tuple(open_pieces))

    def _gauges(self, piece: Piece, axis: Axis, line: int, *, begun: bool) -> Iterator[Gauge]:
        """The edges that may lie at the gauge: on the good side, and cut, but for the first stroke."""
        low, high = piece.reach(axis)
        for is_high, at, good in ((False, low, piece.has_below), (True, high, piece.has_above)):
            if not good(axis, line):
                continue
            printed = at == (self.rules.sheet[axis] if is_high else 0)
            if printed and not self._printed_edge_may_do(piece, axis, high=is_high, begun=begun):
                continue
            yield Gauge(is_high, at)

    def _printed_edge_may_do(self, piece: Piece, axis: Axis, *, high: bool, begun: bool) -> bool:
        if self.rules.any_printed:
            return piece.reach(axis) == (0, self.rules.sheet[axis]) or _ends_in_cards(piece, axis, high=high)
        return not begun and high is self.rules.printed_high[axis]

    def _only_squares(self, piece: Piece, cut: Cut, *, begun: bool) -> bool:
        """Whether the stroke takes off nothing but waste of a piece that lies at the same gauge."""
        if piece.reach(cut.axis)[cut.gauge.high] != cut.gauge.at or not piece.is_rim(cut.axis, cut.line):
            return False
        if not piece.can_be_cut(cut.axis, cut.line):
            return False
        return cut.gauge in self._gauges(piece, cut.axis, cut.line, begun=begun)


def _ends_in_cards(piece: Piece, axis: Axis, *, high: bool) -> bool:
    """Whether the edge of the piece is the finished edge of a card."""
    edge = axis + 2 * high
    return any(card[edge] == piece.box[edge] for card in piece.cards)
