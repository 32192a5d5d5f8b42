"""Points, sizes and boxes in exact millimetres; origin lower left, y up. Every change returns a new value."""

from dataclasses import dataclass
from fractions import Fraction

from watcher.terms import Turn


@dataclass(frozen=True)
class Point:
    """A place on a page, mm."""

    x: Fraction
    y: Fraction


@dataclass(frozen=True)
class Size:
    """Width and height as the thing is read, mm."""

    width: Fraction
    height: Fraction

    @property
    def is_landscape(self) -> bool:
        """Whether it is wider than high; a square counts as portrait."""
        return self.width > self.height

    def turned(self, turn: Turn) -> "Size":
        """The size after a turn."""
        return Size(self.height, self.width) if turn.swaps_sides else self

    def grown(self, by: Fraction) -> "Size":
        """The size with `by` more on each of its four sides."""
        return Size(self.width + 2 * by, self.height + 2 * by)


@dataclass(frozen=True)
class Margins:
    """Distances from the four edges of a page, mm, in the order in which settings give them."""

    top: Fraction
    right: Fraction
    bottom: Fraction
    left: Fraction

    @classmethod
    def all_round(cls, width: Fraction) -> "Margins":
        """The same distance on every side."""
        return cls(width, width, width, width)


@dataclass(frozen=True)
class Box:
    """An upright rectangle, mm."""

    left: Fraction
    bottom: Fraction
    right: Fraction
    top: Fraction

    @classmethod
    def at(cls, x: Fraction, y: Fraction, size: Size) -> "Box":
        """The box of `size` whose lower left corner is (x, y)."""
        return cls(x, y, x + size.width, y + size.height)

    @property
    def width(self) -> Fraction:
        """Extent to the right."""
        return self.right - self.left

    @property
    def height(self) -> Fraction:
        """Extent upwards."""
        return self.top - self.bottom

    @property
    def size(self) -> Size:
        """Width and height."""
        return Size(self.width, self.height)

    @property
    def centre(self) -> Point:
        """The middle."""
        return Point((self.left + self.right) / 2, (self.bottom + self.top) / 2)

    def moved(self, dx: Fraction, dy: Fraction) -> "Box":
        """The box shifted to the right and up."""
        return Box(self.left + dx, self.bottom + dy, self.right + dx, self.top + dy)

    def grown(self, by: Fraction) -> "Box":
        """The box with `by` more on every side (less when negative)."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def within(self, margins: Margins) -> "Box":
        """What is left of the box inside `margins`."""
        return Box(
            self.left + margins.left,
            self.bottom + margins.bottom,
            self.right - margins.right,
            self.top - margins.top,
        )

    def overlaps(self, other: "Box") -> bool:
        """Whether the two share area; touching edges do not."""
        return (
            self.left < other.right and other.left < self.right and self.bottom < other.top and other.bottom < self.top
        )

    def contains(self, other: "Box") -> bool:
        """Whether `other` lies inside; edges may touch."""
        return (
            self.left <= other.left
            and self.bottom <= other.bottom
            and other.right <= self.right
            and other.top <= self.top
        )

    def meet(self, other: "Box") -> "Box":
        """The part common to both; ValueError when there is none."""
        common = Box(
            max(self.left, other.left),
            max(self.bottom, other.bottom),
            min(self.right, other.right),
            min(self.top, other.top),
        )
        if common.width < 0 or common.height < 0:
            raise ValueError(f"{self} and {other} do not meet")
        return common

    @classmethod
    def around(cls, boxes: "list[Box] | tuple[Box, ...]") -> "Box":
        """The smallest box that holds them all; ValueError for none."""
        return cls(
            min(box.left for box in boxes),
            min(box.bottom for box in boxes),
            max(box.right for box in boxes),
            max(box.top for box in boxes),
        )
