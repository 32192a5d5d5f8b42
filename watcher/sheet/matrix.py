"""Exact matrices in PDF points, and numbers as a PDF writes them. Source: ISO 32000-1 8.3.3, 8.3.4."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from pypdf.generic import ArrayObject, FloatObject

from watcher.layout.affine import Six, product
from watcher.layout.geometry import Box
from watcher.terms import Turn
from watcher.units import mm_to_points

_DECIMALS = 9  # a billionth of a point: far below the 0.01 mm that is promised, for scales as well as for places


@dataclass(frozen=True)
class Matrix:
    """A matrix of a PDF: x' = a x + c y + e, y' = b x + d y + f."""

    a: Fraction
    b: Fraction
    c: Fraction
    d: Fraction
    e: Fraction
    f: Fraction

    def then(self, after: "Matrix") -> "Matrix":
        """The matrix that does this one first and `after` on its result."""
        return Matrix(*product(self.numbers, after.numbers))

    @property
    def numbers(self) -> Six[Fraction]:
        """a, b, c, d, e, f."""
        return self.a, self.b, self.c, self.d, self.e, self.f

    @property
    def operator(self) -> str:
        """The PDF operator that sets it."""
        return f"{show(*self.numbers)} cm"


def moved(x: Fraction, y: Fraction) -> Matrix:
    """A shift."""
    return Matrix(Fraction(1), Fraction(0), Fraction(0), Fraction(1), x, y)


def scaled(x: Fraction, y: Fraction) -> Matrix:
    """A change of size about the origin."""
    return Matrix(x, Fraction(0), Fraction(0), y, Fraction(0), Fraction(0))


def turned(turn: Turn) -> Matrix:
    """A turn about the origin, counter-clockwise."""
    cos, sin = {Turn.NONE: (1, 0), Turn.LEFT: (0, 1), Turn.HALF: (-1, 0), Turn.RIGHT: (0, -1)}[turn]
    return Matrix(Fraction(cos), Fraction(sin), Fraction(-sin), Fraction(cos), Fraction(0), Fraction(0))


def turned_into(box: Box, turn: Turn) -> Matrix:
    """The matrix that turns a thing with its lower left at the origin and moves it into `box` (mm, its turned size)."""
    left, bottom, right, top = box_in_points(box)
    corner = {
        Turn.NONE: (left, bottom),
        Turn.LEFT: (right, bottom),
        Turn.HALF: (right, top),
        Turn.RIGHT: (left, top),
    }[turn]
    return turned(turn).then(moved(*corner))


def box_in_points(box: Box) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    """Left, bottom, right, top of a box in mm, in points."""
    return mm_to_points(box.left), mm_to_points(box.bottom), mm_to_points(box.right), mm_to_points(box.top)


def clip_to(box: Box) -> str:
    """The PDF operators that keep ink inside a box in mm."""
    return f"{_rectangle(box)} W n"


def clip_between(outer: Box, inner: Box) -> str:
    """The PDF operators that keep ink inside the frame between two boxes in mm (ISO 32000-1 8.5.3.3.3)."""
    return f"{_rectangle(outer)} {_rectangle(inner)} W* n"


def _rectangle(box: Box) -> str:
    left, bottom, right, top = box_in_points(box)
    return f"{show(left, bottom, right - left, top - bottom)} re"


def show(*values: Fraction) -> str:
    """Numbers as a PDF writes them: decimals, no exponent, no needless zeros."""
    return " ".join(_number(value) for value in values)


def exact(values: Iterable[float]) -> Matrix:
    """A matrix of six floating-point numbers."""
    a, b, c, d, e, f = (Fraction(value) for value in values)
    return Matrix(a, b, c, d, e, f)


def _number(value: Fraction) -> str:
    parts = round(value * 10**_DECIMALS)
    whole, rest = divmod(abs(parts), 10**_DECIMALS)
    text = f"{whole}.{rest:0{_DECIMALS}d}".rstrip("0").rstrip(".")
    return f"-{text}" if parts < 0 else text


def as_array(matrix: Matrix) -> ArrayObject:
    """The matrix as a PDF array."""
    return ArrayObject([FloatObject(float(value)) for value in matrix.numbers])
