"""Find what shows that a sheet was printed at actual size: its ruler, or two visible things and their distance."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import combinations

import numpy as np

from watcher.art.model import CardFace
from watcher.layout.geometry import Box, Point, Size
from watcher.layout.model import Face, Layout, Mark
from watcher.sheet.draw.plan import SheetPage, SheetPlan, face_at
from watcher.sheet.draw.ruler import Ruler
from watcher.terms import Edge, Side, Turn
from watcher.units import show_mm

SHORTEST_MM = Fraction(20)  # a sheet enlarged by 4 % is off by 0.8 mm there (our own choice)
_INK = 215  # a level below which ink can be seen on white paper (our own choice)
_TENTH = Fraction(1, 10)


class Between(StrEnum):
    """What is measured on the front of the sheet."""

    MARKS = "the first and the last cutting mark along an edge"
    CARDS = "any detail of a card and the same detail of another"
    ENDS = "the ends of all that is printed; about, as its picture shows it"


@dataclass(frozen=True, kw_only=True)
class Distance:
    """Two visible things on the front of a sheet, and how far apart they are.

    Attributes:
        between: what they are.
        length: how far apart they are, mm.
        across: whether they lie side by side, else one above the other.
        edge: the edge of the sheet that the marks lie along; None for other things.
        cards: the numbers of the places, counted from the top left, row by row; None for other things.
    """

    between: Between
    length: Fraction
    across: bool
    edge: Edge | None = None
    cards: tuple[int, int] | None = None

    @property
    def short_words(self) -> str:
        """The distance in words for the small print, true on both faces of the sheet."""
        way = "side to side" if self.across else "top to bottom"
        length = f"{show_mm(self.length)} mm"
        if self.cards is not None:
            return f"same detail on cards {self.cards[0]} and {self.cards[1]}: {length} apart"
        if self.between is Between.MARKS:
            return f"outermost cutting marks {way}: {length} apart"
        return f"print {way}: about {length}"


@dataclass(frozen=True, kw_only=True)
class SizeCheck:
    """How the size of a printed sheet is checked: by the ruler where there is one, else by a distance."""

    ruler: Ruler | None = None
    distance: Distance | None = None


def distance_on(plan: SheetPlan, form: int) -> Distance | None:
    """The distance to measure on the front of a kind of sheet: between marks, else cards, else the print's ends."""
    return next((one for one in _distances(plan, form) if one is not None and one.length >= SHORTEST_MM), None)


def _distances(plan: SheetPlan, form: int) -> Iterator[Distance | None]:
    yield between_marks(plan.layout, plan.marks)
    yield _between_cards(plan, form)
    yield _ends_of_print(plan, form)


def between_marks(layout: Layout, marks: Sequence[Mark]) -> Distance | None:
    """The first and the last cutting mark along the edge where they are furthest apart."""
    block = Box.around([place.front.trim for place in layout.places])
    solid = [mark.box for mark in marks if not mark.dashed]
    sides = {(place.front.trim.left, place.front.trim.right) for place in layout.places}
    ends = {(place.front.trim.bottom, place.front.trim.top) for place in layout.places}
    upright = [box for box in solid if box.width == 0 and any(box.left in pair for pair in sides)]
    level = [box for box in solid if box.height == 0 and any(box.bottom in pair for pair in ends)]
    rows = {
        Edge.TOP: [box.left for box in upright if box.bottom >= block.top],
        Edge.BOTTOM: [box.left for box in upright if box.top <= block.bottom],
        Edge.LEFT: [box.bottom for box in level if box.right <= block.left],
        Edge.RIGHT: [box.bottom for box in level if box.left >= block.right],
    }
    apart = {edge: max(row) - min(row) for edge, row in rows.items() if row}
    if not apart:
        return None
    edge = max(apart, key=lambda edge: apart[edge])
    across = edge in (Edge.TOP, Edge.BOTTOM)
    return Distance(between=Between.MARKS, length=apart[edge], across=across, edge=edge)


def _between_cards(plan: SheetPlan, form: int) -> Distance | None:
    """The two cards of the same art, turned the same way in one row or column, that lie furthest apart."""
    found = list[tuple[Distance, CardFace]]()
    lying = [(place, face_at(plan, SheetPage(form=form, side=Side.FRONT), place)) for place in plan.layout.places]
    for (place, one), (further, other) in combinations(lying, 2):
        if one is None or other is None or one[1] is not other[1] or one[0].turn is not other[0].turn:
            continue
        away = Point(other[0].trim.left - one[0].trim.left, other[0].trim.bottom - one[0].trim.bottom)
        if 0 in (away.x, away.y):
            length, cards = abs(away.x + away.y), (place.number, further.number)
            distance = Distance(between=Between.CARDS, length=length, across=away.y == 0, cards=cards)
            found.append((distance, one[1]))
    far_first = sorted(found, key=lambda one: one[0].length, reverse=True)
    return next((distance for distance, card in far_first if _may_have_ink(card, plan.layout)), None)


def _may_have_ink(card: CardFace, layout: Layout) -> bool:
    return card.art.thumbnail is None or _ink_of(card, layout) is not None


def _ends_of_print(plan: SheetPlan, form: int) -> Distance | None:
    """The outermost ink of all cards, along the longer way."""
    inked = list(_inked(plan, form))
    if not inked:
        return None
    whole = Box.around(inked)
    across = whole.width >= whole.height
    length = round((whole.width if across else whole.height) / _TENTH) * _TENTH
    return Distance(between=Between.ENDS, length=length, across=across)


def _inked(plan: SheetPlan, form: int) -> Iterator[Box]:
    for place in plan.layout.places:
        lying = face_at(plan, SheetPage(form=form, side=Side.FRONT), place)
        if lying is not None and (ink := _ink_of(lying[1], plan.layout)) is not None:
            seen = _on_page(ink, lying[0], plan.layout.trim)
            if seen.overlaps(lying[0].bleed_box):
                yield seen.meet(lying[0].bleed_box)


def _ink_of(card: CardFace, layout: Layout) -> Box | None:
    """Where a face of the card has ink, in its own axes, mm; None for bare paper, or where no small picture is kept."""
    if card.art.thumbnail is None:
        return None
    inked = card.art.thumbnail.picture < _INK  # in any of its colours
    high, wide, _ = inked.shape
    rows = np.flatnonzero(np.any(inked.reshape(high, -1), axis=1))
    columns = np.flatnonzero(np.any(np.any(inked, axis=0), axis=1))
    if not len(rows):
        return None
    box = card.fit.box
    across, upwards = box.width / wide, box.height / high
    ink = Box(
        box.left + int(columns[0]) * across,
        box.top - (int(rows[-1]) + 1) * upwards,
        box.left + (int(columns[-1]) + 1) * across,
        box.top - int(rows[0]) * upwards,
    )
    shown = Box.at(Fraction(0), Fraction(0), layout.trim).grown(layout.bleed)
    return ink.meet(shown) if ink.overlaps(shown) else None


def _on_page(box: Box, face: Face, trim: Size) -> Box:
    """A box in the axes of a card, on the page on which the card lies."""
    for _ in range(face.turn // Turn.LEFT):  # a quarter to the left: what was up points to the left
        box = Box(trim.height - box.top, box.left, trim.height - box.bottom, box.right)
        trim = Size(trim.height, trim.width)
    return box.moved(face.trim.left, face.trim.bottom)
