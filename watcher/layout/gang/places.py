"""Which place of a gang sheet is whose: so that an order's cards lie together and come apart from the others early.

The cut plan is not changed, so nothing here costs a stroke. Its pieces, and all that comes off at one stroke, are
lots: the fewer lots an order is made of, the less is to be sorted after cutting. The places are strung up in a few
ways (as the plan parts them, by rows, by columns) and the orders take stretches of a string; for each string the best
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
    """The places of each order on one form.

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
    worth = _Worths(layout, plan)
    shares = [*slots, blanks]
    found = min((_strung(string, shares, worth) for string in _strings(layout, plan)), key=lambda strung: strung[0])[1]
    stages = list(_stages(layout, plan))
    return tuple(_parted(order, found[order], stages) for order in range(len(slots)))


# -- strings of places -------------------------------------------------------------------------------------------------


def _strings(layout: Layout, plan: CutPlan) -> Iterator[Numbers]:
    """The ways in which places are strung up."""
    yield _as_parted(layout, plan)
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


def _as_parted(layout: Layout, plan: CutPlan) -> Numbers:
    """The places so that the cards of every piece stand together."""
    string = [place.number for place in layout.places]
    for stroke in plan.strokes:
        for piece, (near, beyond) in zip(stroke.pieces, stroke.gives, strict=True):
            if beyond is not None:
                start = string.index(next(number for number in string if number in piece.cards))
                parts = sorted((near, beyond), key=_reading)
                string[start : start + len(piece.cards)] = [
                    number for part in parts for number in string if number in part.cards
                ]
    return tuple(string)


def _reading(piece: CutPiece) -> tuple[Fraction, Fraction]:
    return -piece.box.top, piece.box.left


# -- what a stretch is worth -------------------------------------------------------------------------------------------


class _Worths:
    """Weighs a set of places: in how many lots it comes, and how far it spreads."""

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
        """Lots and spread."""
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


def _strung(string: Numbers, shares: Sequence[int], worth: _Worths) -> tuple[_Worth, list[Numbers]]:
    """The best sequence of the orders along a string; the last share is nobody's and weighs nothing."""
    taking = [order for order, share in enumerate(shares) if share]
    if len(taking) > MOST_SORTED:
        sequence = sorted(taking, key=lambda order: (order == len(shares) - 1, -shares[order], order))
    else:
        sequence = _best_sequence(string, shares, taking, worth)
    found: list[Numbers] = [() for _ in shares]
    at = 0
    for order in sequence:
        found[order] = tuple(sorted(string[at : at + shares[order]]))
        at += shares[order]
    worths = [worth.of(frozenset(places)) for places in found[:-1] if places]
    return (sum(lots for lots, _ in worths), sum((spread for _, spread in worths), Fraction(0))), found


def _best_sequence(string: Numbers, shares: Sequence[int], taking: Sequence[int], worth: _Worths) -> list[int]:
    """By sets of orders that have been placed: these fill the start of the string, whatever their sequence."""
    best: dict[frozenset[int], tuple[_Worth, tuple[int, ...]]] = {frozenset(): ((0, Fraction(0)), ())}
    for _ in taking:
        longer: dict[frozenset[int], tuple[_Worth, tuple[int, ...]]] = {}
        for done, ((lots, spread), sequence) in best.items():
            at = sum(shares[order] for order in done)
            for order in taking:
                if order in done:
                    continue
                own = frozenset(string[at : at + shares[order]])
                more, wider = worth.of(own) if order < len(shares) - 1 else (0, Fraction(0))
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


def _parted(order: int, places: Numbers, stages: Sequence[tuple[int, frozenset[frozenset[int]]]]) -> OrderPlaces:
    own = frozenset(places)
    for number, pieces in stages:
        holding = [piece for piece in pieces if piece & own]
        if all(piece <= own for piece in holding):
            return OrderPlaces(order=order, places=places, apart_after=number, pieces=len(holding))
    raise ValueError("the cut plan leaves cards together")
