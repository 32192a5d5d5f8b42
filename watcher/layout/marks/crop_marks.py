"""Crop marks and ticks, so that every cut line can be found on the printed sheet, on either face.

A cut line is a line that the edges of one or more trims lie on; where another card stands across it, it is two lines.
Each line gets a mark beyond both its ends, clear of all bleed. Where the rim has no room for that, it gets a short
tick instead, which there may lie on bleed but keeps off every trim, and further ticks in the gutters along the line.
What cannot be placed is left out and counted. Lengths and distances: common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from watcher.layout.backs import point_behind
from watcher.layout.geometry import Box, Point, Size
from watcher.layout.model import Layout, Mark
from watcher.layout.whole_numbers import WholeBox, WholeUnit, free_between
from watcher.terms import Flip

MARK_OFFSET_MM = Fraction(2)  # from the trim, when there is less bleed
MARK_LENGTH_MM = Fraction(5)
LEAST_MARK_MM = Fraction(2)
CLEAR_OF_BLEED_MM = Fraction("0.2")
TICK_OFFSET_MM = Fraction(1)  # from every trim, for marks as for ticks
TICK_LENGTH_MM = Fraction(3)
LEAST_TICK_MM = Fraction(1)


@dataclass(frozen=True, kw_only=True)
class MarkPlan:
    """The marks of a sheet in the axes of its front, and the cut lines that have no mark.

    Attributes:
        marks: in no particular order.
        unmarked: for each cut line without a mark, whether it runs upwards, and how far it lies from the left edge of
            the front (or, when level, from its bottom edge), mm.
    """

    marks: tuple[Mark, ...]
    unmarked: tuple[tuple[bool, Fraction], ...] = ()

    @property
    def missing(self) -> int:
        """How many cut lines have no mark."""
        return len(self.unmarked)


def plan_marks(layout: Layout) -> MarkPlan:
    """Place marks or ticks for every cut line.

    All of them lie inside `layout.printable`, which both faces can print, and in no trim; none lies twice. The same
    marks seen through the sheet (`marks_behind`) are right for the back.
    """
    trims = [place.front.trim for place in layout.places]
    bleed_boxes = [place.front.bleed_box for place in layout.places]
    unit = WholeUnit.of_boxes([*trims, *bleed_boxes, layout.printable], layout.bleed, CLEAR_OF_BLEED_MM)
    measures = _Measures.in_unit(unit, layout.bleed)
    whole_trims, whole_bleed_boxes = [unit.box(box) for box in trims], [unit.box(box) for box in bleed_boxes]
    area = unit.box(layout.printable)
    upright = _Lines(whole_trims, whole_bleed_boxes, area, measures)
    level = _Lines(
        [box.transposed() for box in whole_trims],
        [box.transposed() for box in whole_bleed_boxes],
        area.transposed(),
        measures,
    )
    marks = [
        *(_mark(unit, (x, low), (x, high)) for x, low, high in upright.strokes()),
        *(_mark(unit, (low, y), (high, y)) for y, low, high in level.strokes()),
    ]
    unmarked = [*((True, unit.mm(x)) for x in upright.unmarked), *((False, unit.mm(y)) for y in level.unmarked)]
    uncut = {(True, edge) for edge in (Fraction(0), layout.sheet.width)}
    uncut |= {(False, edge) for edge in (Fraction(0), layout.sheet.height)}  # there the paper ends by itself
    return MarkPlan(marks=tuple(marks), unmarked=tuple(line for line in unmarked if line not in uncut))


def dashed_marks(trims: list[Box], bleed_boxes: list[Box], area: Box, bleed: Fraction) -> MarkPlan:
    """Place dashed marks for the upright line through the middle of each trim, as if it were cut there.

    Args:
        trims: mm; none of the marks lies in them.
        bleed_boxes: each trim with its bleed, mm.
        area: where both faces can print.
        bleed: as asked, mm.
    """
    middles = [trim.centre.x for trim in trims]
    unit = WholeUnit.of_boxes([*trims, *bleed_boxes, area], bleed, CLEAR_OF_BLEED_MM, *middles)
    halves, inked = [], []
    for trim, bleed_box, middle in zip(trims, bleed_boxes, middles, strict=True):
        halves += [unit.box(replace(trim, right=middle)), unit.box(replace(trim, left=middle))]
        inked += [unit.box(bleed_box)] * 2
    lines = _Lines(halves, inked, unit.box(area), _Measures.in_unit(unit, bleed))
    strokes = lines.strokes({unit.whole(middle) for middle in middles})
    marks = tuple(_mark(unit, (x, low), (x, high), dashed=True) for x, low, high in strokes)
    return MarkPlan(marks=marks, unmarked=tuple((True, unit.mm(x)) for x in lines.unmarked))


def marks_behind(marks: Iterable[Mark], sheet: Size, flip: Flip) -> tuple[Mark, ...]:
    """The same marks in the axes of the back page, so that both faces are cut along the same lines."""
    return tuple(
        replace(mark, start=point_behind(mark.start, sheet, flip), end=point_behind(mark.end, sheet, flip))
        for mark in marks
    )


def _mark(unit: WholeUnit, start: tuple[int, int], end: tuple[int, int], *, dashed: bool = False) -> Mark:
    ends = [Point(unit.mm(x), unit.mm(y)) for x, y in (start, end)]
    return Mark(start=ends[0], end=ends[1], dashed=dashed)


class _Measures(NamedTuple):
    """The lengths of marks and ticks in whole units."""

    offset: int
    length: int
    least: int
    clear: int
    tick_offset: int
    tick_length: int
    least_tick: int

    @classmethod
    def in_unit(cls, unit: WholeUnit, bleed: Fraction) -> "_Measures":
        lengths = (
            max(bleed, MARK_OFFSET_MM),
            MARK_LENGTH_MM,
            LEAST_MARK_MM,
            CLEAR_OF_BLEED_MM,
            TICK_OFFSET_MM,
            TICK_LENGTH_MM,
            LEAST_TICK_MM,
        )
        return cls(*(unit.whole(length) for length in lengths))


class _Run(NamedTuple):
    """A cut line: the stretches where trims lie on it, in order, and the limits within which it may be marked."""

    low: int
    high: int
    edges: list[tuple[int, int]]


class _Lines:
    """The cut lines that run upwards; for those that run across, everything is given with x and y exchanged.

    `unmarked` has the lines without a mark once `strokes` has been asked for.
    """

    def __init__(self, trims: list[WholeBox], bleed_boxes: list[WholeBox], area: WholeBox, measures: _Measures) -> None:
        self.trims, self.bleed_boxes, self.area, self.measures = trims, bleed_boxes, area, measures
        self.unmarked: list[int] = []

    def strokes(self, only: set[int] | None = None) -> list[tuple[int, int, int]]:
        """Every mark as x, low end, high end; overlapping ones joined. With `only`, the marks of these lines alone."""
        self.unmarked = []
        strokes: list[tuple[int, int, int]] = []
        lines = {edge for trim in self.trims for edge in (trim.left, trim.right)} if only is None else only
        for x in sorted(lines):
            strokes += [(x, low, high) for low, high in _joined(self._strokes_at(x))]
        return strokes

    def _strokes_at(self, x: int) -> list[tuple[int, int]]:
        reach = max(self.measures.tick_offset, self.measures.clear)
        near = [
            (trim, bleed_box)
            for trim, bleed_box in zip(self.trims, self.bleed_boxes, strict=True)
            if min(trim.left, bleed_box.left) - reach < x < max(trim.right, bleed_box.right) + reach
        ]
        for_marks = free_between(self.area.bottom, self.area.top, self._blocked_for_marks(x, near))
        for_ticks = free_between(self.area.bottom, self.area.top, self._blocked_for_ticks(x, near))
        strokes: list[tuple[int, int]] = []
        printable = self.area.left <= x <= self.area.right
        for run in self._runs(x, [trim for trim, _ in near]):
            found = self._mark_run(run, for_marks, for_ticks) if printable else []
            if not found:
                self.unmarked.append(x)
            strokes += found
        return strokes

    def _runs(self, x: int, trims: list[WholeBox]) -> list[_Run]:
        """The stretches of the line at x, parted where a card stands across it."""
        edges = _joined((trim.bottom, trim.top) for trim in trims if x in (trim.left, trim.right))
        across = sorted((trim.bottom, trim.top) for trim in trims if trim.left < x < trim.right)
        low = min([self.area.bottom, *(edge[0] for edge in edges)])  # cards may lie in the rim
        high = max([self.area.top, *(edge[1] for edge in edges)])
        bounds = [low, *(y for stretch in across for y in stretch), high]
        runs = []
        for low, high in zip(bounds[::2], bounds[1::2], strict=True):
            inside = [edge for edge in edges if low <= edge[0] and edge[1] <= high]
            if inside:
                runs.append(_Run(low, high, inside))
        return runs

    def _blocked_for_marks(self, x: int, near: list[tuple[WholeBox, WholeBox]]) -> list[tuple[int, int]]:
        clear = self.measures.clear
        blocked = self._blocked_for_ticks(x, near)
        for trim, bleed_box in near:
            if trim.left <= x <= trim.right:
                blocked.append((trim.bottom - self.measures.offset, trim.top + self.measures.offset))
            if bleed_box.left - clear < x < bleed_box.right + clear:
                blocked.append((bleed_box.bottom - clear, bleed_box.top + clear))
        return blocked

    def _blocked_for_ticks(self, x: int, near: list[tuple[WholeBox, WholeBox]]) -> list[tuple[int, int]]:
        off = self.measures.tick_offset
        return [(trim.bottom - off, trim.top + off) for trim, _ in near if trim.left - off < x < trim.right + off]

    def _mark_run(
        self, run: _Run, for_marks: list[tuple[int, int]], for_ticks: list[tuple[int, int]]
    ) -> list[tuple[int, int]]:
        """A mark or a tick beyond either end; where one end has no mark, ticks in the gutters between too."""
        measures = self.measures
        below, above = (run.low, run.edges[0][0]), (run.edges[-1][1], run.high)
        marks = [
            _last(_within(for_marks, below), measures.least, measures.length),
            _first(_within(for_marks, above), measures.least, measures.length),
        ]
        strokes = [mark for mark in marks if mark]
        if len(strokes) == 2:
            return strokes
        if marks[0] is None:
            strokes += _some(_last(_within(for_ticks, below), measures.least_tick, measures.tick_length))
        if marks[1] is None:
            strokes += _some(_first(_within(for_ticks, above), measures.least_tick, measures.tick_length))
        for (_, low), (high, _) in zip(run.edges, run.edges[1:], strict=False):
            strokes += _some(_middle(_within(for_ticks, (low, high)), measures.least_tick, measures.tick_length))
        return strokes


def _joined(stretches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """The stretches in order, those that touch or overlap made one."""
    joined: list[tuple[int, int]] = []
    for low, high in sorted(stretches):
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _within(free: list[tuple[int, int]], bounds: tuple[int, int]) -> list[tuple[int, int]]:
    clipped = ((max(low, bounds[0]), min(high, bounds[1])) for low, high in free)
    return [(low, high) for low, high in clipped if low < high]


def _first(free: list[tuple[int, int]], least: int, length: int) -> tuple[int, int] | None:
    """The lowest stroke there is room for."""
    return next(((low, min(high, low + length)) for low, high in free if high - low >= least), None)


def _last(free: list[tuple[int, int]], least: int, length: int) -> tuple[int, int] | None:
    """The highest stroke there is room for."""
    return next(((max(low, high - length), high) for low, high in reversed(free) if high - low >= least), None)


def _middle(free: list[tuple[int, int]], least: int, length: int) -> tuple[int, int] | None:
    """A stroke in the middle of the widest room."""
    low, high = max(free, key=lambda stretch: stretch[1] - stretch[0], default=(0, 0))
    if high - low < least:
        return None
    short = max(0, high - low - length) // 2
    return low + short, high - short


def _some(stroke: tuple[int, int] | None) -> list[tuple[int, int]]:
    return [stroke] if stroke else []
