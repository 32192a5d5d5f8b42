"""Carry out a cut plan on a model of the paper, and layouts to plan for."""

from fractions import Fraction

import pytest

from tests.long_form import LONG
from watcher.layout.geometry import Box
from watcher.layout.model import Face, Layout, Place
from watcher.terms import Edge, Turn

EXAMPLES = 400 if LONG else 8
NOTHING = Fraction(0)
UPRIGHT = (Edge.LEFT, Edge.RIGHT)


def layout_of(sheet, boxes):
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


def carry_out(layout, plan):
    """Cut a sheet by the plan: exactly the cards are left, each of trim size."""
    paper = Paper(layout)
    for number, stroke in enumerate(plan.strokes, start=1):
        assert stroke.number == number
        paper.cut(stroke)
    assert set(paper.pieces) == {f"card {number}" for number in paper.cards}
    for number, card in paper.cards.items():
        assert paper.pieces[f"card {number}"] == pytest.approx(card, abs=0.005)
