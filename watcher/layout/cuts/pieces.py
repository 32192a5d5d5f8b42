"""The pieces of a sheet while it is cut, in integers: which lines each needs cut, and which of them can be cut now.

A line is *needed* by a piece when the edge of one of its cards lies on it, and *free* in it when no card of the piece
stands across it.
"""

from enum import IntEnum
from typing import NamedTuple

from watcher.layout.whole_numbers import WholeBox


class Axis(IntEnum):
    """The axis along which a stroke is measured; the cut itself runs across it."""

    X = 0
    Y = 1


class Gauge(NamedTuple):
    """The edge that lies at the gauge: whether it is the right or top one (high), and its coordinate."""

    high: bool
    at: int


class Piece:
    """A piece of paper with cards on it.

    Attributes:
        box: where it lies on the sheet.
        cards: the trims on it.
        needed: by axis, the lines that its cards need cut, rising.
        free: by axis, those of them that can be cut now.
        span: by axis, from where to where its cards go.
    """

    __slots__ = ("box", "cards", "free", "needed", "span")

    def __init__(self, box: WholeBox, cards: tuple[WholeBox, ...]) -> None:
        self.box, self.cards = box, cards
        self.needed = (self._needed(Axis.X), self._needed(Axis.Y))
        self.free = (self._free(Axis.X), self._free(Axis.Y))
        self.span = (self._span(Axis.X), self._span(Axis.Y))

    def _needed(self, axis: Axis) -> tuple[int, ...]:
        low, high = self.reach(axis)
        return tuple(
            sorted({edge for card in self.cards for edge in (card[axis], card[axis + 2]) if low < edge < high})
        )

    def _free(self, axis: Axis) -> tuple[int, ...]:
        """The needed lines that no card stands across: the ends of every run of cards that overlap along the axis."""
        ends: set[int] = set()
        end: int | None = None
        for low, high in sorted((card[axis], card[axis + 2]) for card in self.cards):
            if end is None or low >= end:
                ends |= {low} if end is None else {end, low}
                end = high
            end = max(end, high)
        return tuple(line for line in self.needed[axis] if line in ends or line == end)

    def _span(self, axis: Axis) -> tuple[int, int]:
        return min(card[axis] for card in self.cards), max(card[axis + 2] for card in self.cards)

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to cut."""
        return not self.needed[0] and not self.needed[1]

    def reach(self, axis: Axis) -> tuple[int, int]:
        """From where to where it goes along an axis."""
        return self.box[axis], self.box[axis + 2]

    def can_be_cut(self, axis: Axis, line: int) -> bool:
        """Whether the line lies inside and no card stands across it."""
        low, high = self.reach(axis)
        return low < line < high and not any(card[axis] < line < card[axis + 2] for card in self.cards)

    def has_below(self, axis: Axis, line: int) -> bool:
        """Whether a card begins below the line; cards that stand across it count on both sides."""
        return self.span[axis][0] < line

    def has_above(self, axis: Axis, line: int) -> bool:
        """Whether a card ends above the line."""
        return self.span[axis][1] > line

    def is_rim(self, axis: Axis, line: int) -> bool:
        """Whether a cut at the line takes off nothing but waste."""
        return not (self.has_below(axis, line) and self.has_above(axis, line))


State = frozenset[Piece]


def lines_needed(state: State) -> int:
    """The number of lines still to be cut. No plan has fewer strokes."""
    return sum(len({line for piece in state for line in piece.needed[axis]}) for axis in Axis)


def lines_without_gauge(state: State) -> int:
    """The number of lines for which the pieces that need them have no gauge in common."""
    torn = 0
    for axis in Axis:
        common: dict[int, set[Gauge]] = {}
        for piece in state:
            low, high = piece.reach(axis)
            for line in piece.needed[axis]:
                edges = set()
                if piece.has_below(axis, line):
                    edges.add(Gauge(False, low))
                if piece.has_above(axis, line):
                    edges.add(Gauge(True, high))
                common[line] = common[line] & edges if line in common else edges
        torn += sum(not edges for edges in common.values())
    return torn
