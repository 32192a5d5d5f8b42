"""Assign the places of a gang sheet to its orders, so that each order's cards are cut off together and early.

The cut plan stays as it is, so this costs no stroke. The pieces of the plan, and all that comes off at one stroke, are
lots. The fewer lots an order consists of, the less there is to sort after cutting. The places are put in a row in a few
ways (as the plan cuts them, by rows, by columns), and each order takes a stretch of that row. For each row the best
sequence of orders is found exactly, for up to a dozen of them.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from watcher.layout.geometry import Box
from watcher.layout.model import CutPiece, CutPlan, Layout, Place

MOST_SORTED = 12  # orders of which every sequence is weighed; more take their places by size

Numbers = tuple[int, ...]  # of places
_Worth = tuple[int, Fraction]  # lots, and how far the places lie apart; less is better


@dataclass(frozen=True, kw_only=True)
class OrderPlaces:
    """The places of one order on one form.

    Attributes:
        order: which, as in the plan.
        places: their numbers, rising; none where the order is not on this form.
        apart_after: the number of the stroke after which no piece holds both its cards and others; 0 when it has the
            sheet to itself or no place at all.
        pieces: in how many pieces its cards lie then.
    """

    order: int
    places: Numbers
    apart_after: int
    pieces: int


def give_places(layout: Layout, plan: CutPlan, slots: Sequence[int]) -> tuple[OrderPlaces, ...]:
    """Assign places to the orders on one form.

    Args:
        layout: the sheet.
        plan: how it is cut.
        slots: how many places each order has, 0 allowed; together no more than there are.

    Returns:
        One record an order, in their order. Places that are left over belong to nobody.

    Raises:
        ValueError: more places are wanted than there are.
    """
    blanks = layout.up - sum(slots)
    if blanks < 0:
        raise ValueError(f"{sum(slots)} places wanted on a sheet of {layout.up}")
    worth = _Lots(layout, plan)
    counts = [*slots, blanks]
    found = min((_along(path, counts, worth) for path in _paths(layout, plan)), key=lambda found: found[0])[1]
    stages = list(_stages(layout, plan))
    return tuple(_apart(order, found[order], stages) for order in range(len(slots)))


# -- places in a row -------------------------------------------------------------------------------------------------


def _paths(layout: Layout, plan: CutPlan) -> Iterator[Numbers]:
    """The ways in which places can be put in a row: as the plan cuts them, by rows, by columns, to and fro."""
    yield _as_cut(layout, plan)
    rows = _lines(layout.places, upright=False)
    columns = _lines(layout.places, upright=True)
    for lines in (rows, columns):
        yield tuple(number for line in lines for number in line)
        yield tuple(number for at, line in enumerate(lines) for number in (line[::-1] if at % 2 else line))


def _lines(places: Sequence[Place], *, upright: bool) -> list[Numbers]:
    """Rows from the top, or columns from the left."""

    def line(place: Place) -> Fraction:
        return place.front.trim.left if upright else -place.front.trim.top

    def along(place: Place) -> Fraction:
        return -place.front.trim.top if upright else place.front.trim.left

    ordered = sorted(places, key=lambda place: (line(place), along(place)))
    return [tuple(place.number for place in same) for _, same in groupby(ordered, key=line)]


def _as_cut(layout: Layout, plan: CutPlan) -> Numbers:
    """The places in an order in which the cards of every piece follow each other."""
    path = [place.number for place in layout.places]
    for stroke in plan.strokes:
        for piece, (near, beyond) in zip(stroke.pieces, stroke.gives, strict=True):
            if beyond is not None:
                start = path.index(next(number for number in path if number in piece.cards))
                parts = sorted((near, beyond), key=_reading)
                path[start : start + len(piece.cards)] = [
                    number for part in parts for number in path if number in part.cards
                ]
    return tuple(path)


def _reading(piece: CutPiece) -> tuple[Fraction, Fraction]:
    return -piece.box.top, piece.box.left


# -- what a stretch is worth -------------------------------------------------------------------------------------------


class _Lots:
    """Rates a set of places: the number of lots it consists of, and how far it spreads."""

    def __init__(self, layout: Layout, plan: CutPlan) -> None:
        self.trims = {place.number: place.front.trim for place in layout.places}
        lots = {frozenset(piece.cards) for stroke in plan.strokes for piece in _after(stroke.gives)}
        for stroke in plan.strokes:
            lots.add(frozenset(card for _, beyond in stroke.gives if beyond for card in beyond.cards))
            lots.add(frozenset(card for near, _ in stroke.gives for card in near.cards))
        lots |= {frozenset({number}) for number in self.trims}
        lots |= {frozenset(self.trims)}
        self.lots = sorted((lot for lot in lots if lot), key=lambda lot: (-len(lot), sorted(lot)))
        self.known: dict[frozenset[int], _Worth] = {}

    def of(self, places: frozenset[int]) -> _Worth:
        """The number of lots, and width plus height of the set's outline in mm."""
        if places not in self.known:
            self.known[places] = self._weighed(places)
        return self.known[places]

    def _weighed(self, places: frozenset[int]) -> _Worth:
        rest, lots = places, 0
        for lot in self.lots:
            if rest and lot <= rest:
                rest, lots = rest - lot, lots + 1
        around = Box.around([self.trims[number] for number in places])
        return lots, around.width + around.height


def _after(gives: Iterable[tuple[CutPiece, CutPiece | None]]) -> Iterator[CutPiece]:
    return (piece for pair in gives for piece in pair if piece is not None)


# -- who takes which stretch -------------------------------------------------------------------------------------------


def _along(path: Numbers, counts: Sequence[int], worth: _Lots) -> tuple[_Worth, list[Numbers]]:
    """The best sequence of the orders along a path, and their places; the last count is of places that stay empty."""
    taking = [order for order, count in enumerate(counts) if count]
    if len(taking) > MOST_SORTED:
        sequence = sorted(taking, key=lambda order: (order == len(counts) - 1, -counts[order], order))
    else:
        sequence = _best_sequence(path, counts, taking, worth)
    found: list[Numbers] = [() for _ in counts]
    at = 0
    for order in sequence:
        found[order] = tuple(sorted(path[at : at + counts[order]]))
        at += counts[order]
    worths = [worth.of(frozenset(places)) for places in found[:-1] if places]
    return (sum(lots for lots, _ in worths), sum((spread for _, spread in worths), Fraction(0))), found


def _best_sequence(path: Numbers, counts: Sequence[int], taking: Sequence[int], worth: _Lots) -> list[int]:
    """The best sequence of up to a dozen orders, by dynamic programming over the sets that fill the path's start."""
    best: dict[frozenset[int], tuple[_Worth, tuple[int, ...]]] = {frozenset(): ((0, Fraction(0)), ())}
    for _ in taking:
        longer: dict[frozenset[int], tuple[_Worth, tuple[int, ...]]] = {}
        for done, ((lots, spread), sequence) in best.items():
            at = sum(counts[order] for order in done)
            for order in taking:
                if order in done:
                    continue
                own = frozenset(path[at : at + counts[order]])
                more, wider = worth.of(own) if order < len(counts) - 1 else (0, Fraction(0))
                step = ((lots + more, spread + wider), (*sequence, order))
                longer[done | {order}] = min(longer.get(done | {order}, step), step)
        best = longer
    return list(best[frozenset(taking)][1])


# -- when they come apart ----------------------------------------------------------------------------------------------


def _stages(layout: Layout, plan: CutPlan) -> Iterator[tuple[int, frozenset[frozenset[int]]]]:
    """The cards of each piece before the first stroke (0) and after each."""
    pieces = frozenset({frozenset(place.number for place in layout.places)})
    yield 0, pieces
    for stroke in plan.strokes:
        cut = {frozenset(piece.cards) for piece in stroke.pieces}
        pieces = (pieces - cut) | {frozenset(piece.cards) for piece in _after(stroke.gives)}
        yield stroke.number, pieces


def _apart(order: int, places: Numbers, stages: Sequence[tuple[int, frozenset[frozenset[int]]]]) -> OrderPlaces:
    own = frozenset(places)
    for number, pieces in stages:
        holding = [piece for piece in pieces if piece & own]
        if all(piece <= own for piece in holding):
            return OrderPlaces(order=order, places=places, apart_after=number, pieces=len(holding))
    raise ValueError("the cut plan leaves cards together")
