"""Readings of the register target, their means and scatter over several sheets, and as people write them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from watcher.errors import WrongUsage
from watcher.layout.geometry import Point


class ReadBy(StrEnum):
    """How marks were read."""

    EYE = "by light or pin"
    SCANS = "from scans"


class ReadingsRefused(WrongUsage):
    """No correction can be told from these readings; the message names the marks."""


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One mark read on one sheet, mm, in the axes of the back page.

    Attributes:
        mark: its number.
        place: where the page says that its zero lies.
        right, up: where on the printed scale the pin through the front's cross falls.
    """

    mark: int
    place: Point
    right: Fraction
    up: Fraction

    def moved_to(self, right: float, up: float) -> "Reading":
        """The same mark with another reading."""
        return Reading(mark=self.mark, place=self.place, right=Fraction(right), up=Fraction(up))


@dataclass(frozen=True, kw_only=True)
class MeanReading:
    """A mark's mean reading and how many readings it is the mean of."""

    reading: Reading
    count: int


def means_of(sheets: Sequence[Sequence[Reading]]) -> list[MeanReading]:
    """The mean reading of each mark with the number of readings behind it, by its number."""
    return [MeanReading(reading=_mean(read), count=len(read)) for read in _by_mark(sheets)]


def mean_readings(sheets: Sequence[Sequence[Reading]]) -> list[Reading]:
    """The mean reading of each mark, by its number."""
    return [_mean(read) for read in _by_mark(sheets)]


def _by_mark(sheets: Sequence[Sequence[Reading]]) -> list[list[Reading]]:
    """The readings of each mark on all sheets, by its number."""
    by_mark: dict[int, list[Reading]] = {}
    for reading in (reading for sheet in sheets for reading in sheet):
        by_mark.setdefault(reading.mark, []).append(reading)
    return [read for _, read in sorted(by_mark.items())]


def _mean(read: Sequence[Reading]) -> Reading:
    return Reading(
        mark=read[0].mark,
        place=read[0].place,
        right=sum((reading.right for reading in read), Fraction(0)) / len(read),
        up=sum((reading.up for reading in read), Fraction(0)) / len(read),
    )


@dataclass(frozen=True, kw_only=True)
class Scatter:
    """How the sheets differ among themselves, mm; no correction can remove that.

    Attributes:
        typical: standard deviation of a reading from the mean of its mark, both directions together.
        worst: the largest distance between two sheets at one mark.
        worst_mark: that mark.
    """

    typical: float
    worst: float
    worst_mark: int


def scatter_of(sheets: Sequence[Sequence[Reading]]) -> Scatter | None:
    """How the sheets differ among themselves; None when no mark was read on two."""
    by_mark = [read for read in _by_mark(sheets) if len(read) > 1]
    if not by_mark:
        return None
    squares = sum(apart(one, _mean(read)) ** 2 for read in by_mark for one in read)
    spare = sum(len(read) - 1 for read in by_mark)
    worst, mark = max((apart(one, other), one.mark) for read in by_mark for one in read for other in read)
    return Scatter(typical=math.sqrt(squares / spare), worst=worst, worst_mark=mark)


def apart(one: Reading, other: Reading) -> float:
    """The distance between two readings of one mark, mm."""
    return math.hypot(float(one.right - other.right), float(one.up - other.up))


def show_reading(reading: Reading) -> str:
    """A reading as people write it: `+0.8, +0.5 mm`."""
    return f"{_signed(reading.right)}, {_signed(reading.up)} mm"


def _signed(value: Fraction) -> str:
    hundredths = round(value * 100)
    text = f"{abs(hundredths) / 100:.2f}"
    text = text[:-1] if text.endswith("0") else text
    return f"{'-' if hundredths < 0 else '+'}{text}"


def named_marks(read: Sequence[Reading]) -> str:
    """`Marks 1, 2 and 5`."""
    numbers = [str(reading.mark) for reading in read]
    return f"Marks {', '.join(numbers[:-1])} and {numbers[-1]}"
