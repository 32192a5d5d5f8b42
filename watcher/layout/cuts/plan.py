"""Plan the cuts of a sheet: the strokes in order, each with the edge at the gauge, as few as possible.

What a stroke is. A piece is laid with one edge at the gauge; the knife goes through it at a distance from that edge.
One stroke may go through several pieces laid side by side with the same edge at the gauge. Pieces are never regrouped:
a stroke is one straight line of the sheet as it was printed, so pieces that were parted along this axis, and would have
to be pushed against each other first, are never cut together, while strips that were parted along the other axis are.
It need not go through every piece that the line crosses.

The rules of good cutting:

1. The first stroke along an axis is gauged from the edge that entered the printer first, or ran along its guide, since
   the print lies at a constant distance from these. It is cut to the mark. Every later stroke is gauged from a cut
   edge. So the first stroke goes through every piece that is to be cut along that axis.
2. The good part lies at the gauge, under the clamp; waste falls away in front.
3. So a narrow rim comes off on the far side, and no gauge is shorter than a card. A card shorter than the cutter holds
   cannot be cut without such a gauge; the plan says which strokes those are.
4. Rims come off before the rest, one axis after the other, and the pile is turned as seldom as may be.

Where the trims themselves reach the sheet's edge, rule 1 may leave a piece without an edge to work from; then it may
be gauged from any edge that it has.
Sources: Niel Gray, Paper-Cutting Machines (c. 1918), for the same two edges at every step; the rest is common practice,
no source.
"""

import itertools
import string
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from watcher.layout.cuts.pieces import Axis, Piece
from watcher.layout.cuts.search import Cut, CutSearch, Rules
from watcher.layout.model import CutPiece, CutPlan, Layout, Stroke
from watcher.layout.whole_numbers import WholeBox, WholeUnit
from watcher.terms import Edge

SHEET = "sheet"

_EDGES = {Axis.X: (Edge.LEFT, Edge.RIGHT), Axis.Y: (Edge.BOTTOM, Edge.TOP)}  # low, high


@lru_cache(maxsize=32)
def plan_cuts(
    layout: Layout, *, lead: Edge | None = None, guide: Edge | None = None, least_gauge: Fraction = Fraction(0)
) -> CutPlan:
    """Plan the strokes that cut the sheet into its cards and waste.

    Args:
        layout: the solved sheet; a guillotine can cut it apart.
        lead: the edge of the front that enters the printer first; taken as the top where it is not known.
        guide: the edge that runs along its guide; taken as the left, or the top where `lead` is an upright one.
        least_gauge: the shortest distance from gauge to knife, mm.

    Returns:
        The plan with the fewest strokes. On a sheet that ties its lines into uncommonly many knots, a good plan.
    """
    boxes = [place.front.trim for place in layout.places]
    unit = WholeUnit.of_boxes(boxes, layout.sheet.width, layout.sheet.height)
    trims = [unit.box(box) for box in boxes]
    for any_printed in (False, True):
        rules = Rules(
            sheet=(unit.whole(layout.sheet.width), unit.whole(layout.sheet.height)),
            printed_high=(Edge.RIGHT in (lead, guide), Edge.BOTTOM not in (lead, guide)),
            any_printed=any_printed,
        )
        search = CutSearch(trims, rules)
        cuts = search.fewest()
        if cuts is not None:
            numbers = {trim: place.number for trim, place in zip(trims, layout.places, strict=True)}
            return CutPlan(strokes=tuple(_Writer(search, numbers, unit).strokes(cuts)), least_gauge=least_gauge)
    raise ValueError("no guillotine can part this layout")


class _Writer:
    """Turns the cuts that were found into strokes: pieces get names, lengths are millimetres again."""

    def __init__(self, search: CutSearch, numbers: dict[WholeBox, int], unit: WholeUnit) -> None:
        self.search, self.numbers, self.unit = search, numbers, unit
        self.pieces = {search.sheet: self._piece(search.sheet, SHEET)}
        self.letters = _letters()

    def strokes(self, cuts: list[Cut]) -> Iterator[Stroke]:
        """Every cut as a stroke, in order; pieces from the top left, as the front is read."""
        for number, cut in enumerate(cuts, start=1):
            pieces = sorted(cut.pieces, key=lambda piece: (-piece.box.top, piece.box.left))
            printed = cut.gauge.at == (self.search.rules.sheet[cut.axis] if cut.gauge.high else 0)
            yield Stroke(
                number=number,
                against=_EDGES[cut.axis][cut.gauge.high],
                gauge=self.unit.mm(abs(cut.line - cut.gauge.at)),
                line=self.unit.mm(cut.line),
                pieces=tuple(self.pieces[piece] for piece in pieces),
                gives=tuple(self._halves(piece, cut) for piece in pieces),
                to_the_mark=printed,
            )

    def _halves(self, piece: Piece, cut: Cut) -> tuple[CutPiece, CutPiece | None]:
        """The piece at the gauge, which is never waste, and the one beyond it (None for waste)."""
        low, high = self.search.halves(piece, cut.axis, cut.line)
        near, beyond = (high, low) if cut.gauge.high else (low, high)
        assert near is not None, "waste at the gauge"
        return self._named(near), self._named(beyond) if beyond else None

    def _named(self, piece: Piece) -> CutPiece:
        name = f"card {self.numbers[piece.cards[0]]}" if piece.is_done else next(self.letters)
        return self.pieces.setdefault(piece, self._piece(piece, name))

    def _piece(self, piece: Piece, name: str) -> CutPiece:
        cards = tuple(sorted(self.numbers[card] for card in piece.cards))
        return CutPiece(name=name, box=self.unit.box_in_mm(piece.box), cards=cards)


def _letters() -> Iterator[str]:
    """From A to Z, then AA, AB and so on."""
    for length in itertools.count(1):
        for letters in itertools.product(string.ascii_uppercase, repeat=length):
            yield "".join(letters)
