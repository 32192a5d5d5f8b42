"""Exact lengths as integers of a common small unit: as exact as fractions, and many times faster to compare."""

import math
from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from watcher.layout.geometry import Box


class WholeBox(NamedTuple):
    """An upright rectangle in whole units."""

    left: int
    bottom: int
    right: int
    top: int

    def grown(self, by: int) -> "WholeBox":
        """The box with `by` more on every side."""
        return WholeBox(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def transposed(self) -> "WholeBox":
        """The box with x and y exchanged."""
        return WholeBox(self.bottom, self.left, self.top, self.right)

    def upside_down(self) -> "WholeBox":
        """The box mirrored at the x axis."""
        return WholeBox(self.left, -self.top, self.right, -self.bottom)


class WholeUnit:
    """A unit in which every given length is an even integer, so that middles are integers too."""

    def __init__(self, lengths: Iterable[Fraction]) -> None:
        self.per_mm = 2 * math.lcm(*{length.denominator for length in lengths})

    @classmethod
    def of_boxes(cls, boxes: Iterable[Box], *lengths: Fraction) -> "WholeUnit":
        """The unit for the edges of `boxes` and further `lengths`, mm."""
        edges = (edge for box in boxes for edge in (box.left, box.bottom, box.right, box.top))
        return cls((*edges, *lengths))

    def whole(self, mm: Fraction) -> int:
        """A length in this unit; must be one of the lengths the unit was made for, or a sum of such."""
        return mm.numerator * (self.per_mm // mm.denominator)

    def box(self, box: Box) -> WholeBox:
        """A box in this unit."""
        return WholeBox(*(self.whole(edge) for edge in (box.left, box.bottom, box.right, box.top)))

    def mm(self, whole: int) -> Fraction:
        """A length in this unit back in millimetres."""
        return Fraction(whole, self.per_mm)

    def box_in_mm(self, box: WholeBox) -> Box:
        """A box in this unit back in millimetres."""
        return Box(*(self.mm(edge) for edge in box))


def free_between(start: int, end: int, blocked: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """The parts of start..end that no blocked interval covers, in order; empty ones are left out."""
    free: list[tuple[int, int]] = []
    at = start
    for low, high in sorted(blocked):
        if min(low, end) > at:
            free.append((at, min(low, end)))
        at = max(at, high)
    if end > at:
        free.append((at, end))
    return free
