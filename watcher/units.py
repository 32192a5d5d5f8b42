"""Convert millimetres, inches, points and pixels exactly, and show them. The only file that contains 25.4 or 72.

Lengths are `Fraction` millimetres everywhere until a PDF is written. Source: 1 in = 25.4 mm exactly (international
inch, 1959); 1 pt = 1/72 in (default user space of ISO 32000-1 8.3.2.3).
"""

from collections.abc import Callable
from fractions import Fraction

MM_PER_INCH = Fraction("25.4")
POINTS_PER_INCH = 72


def inches_to_mm(inches: Fraction) -> Fraction:
    """Millimetres in so many inches."""
    return inches * MM_PER_INCH


def mm_to_inches(mm: Fraction) -> Fraction:
    """Inches in so many millimetres."""
    return mm / MM_PER_INCH


def points_to_mm(points: Fraction) -> Fraction:
    """Millimetres in so many PDF points (1/72 in, never the 1/72.27 in of TeX)."""
    return points / POINTS_PER_INCH * MM_PER_INCH


def mm_to_points(mm: Fraction) -> Fraction:
    """PDF points in so many millimetres."""
    return mm / MM_PER_INCH * POINTS_PER_INCH


def pixels_per_inch(pixels: int, mm: Fraction) -> Fraction:
    """Resolution of `pixels` spread over `mm`."""
    return pixels / mm_to_inches(mm)


def pixels_needed(mm: Fraction, ppi: Fraction | int) -> int:
    """Fewest whole pixels that give at least `ppi` over `mm`."""
    exact = mm_to_inches(mm) * ppi
    return -(-exact.numerator // exact.denominator)


def show_mm(mm: Fraction, places: int = 2) -> str:
    """A length for people: at most `places` decimals, no trailing zeros, no unit. 88.9, 127, 3.18."""
    text = f"{float(round(mm, places)):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


class Length(Fraction):
    """Millimetres that remember the unit in which somebody wrote them: `mm`, `cm`, `in` or `pt`.

    It counts, compares and hashes as the number that it is; what is reckoned from it is a plain `Fraction`.
    """

    unit: str

    def __new__(cls, mm: Fraction, unit: str = "mm") -> "Length":
        """Millimetres written in a unit."""
        length = super().__new__(cls, mm)
        length.unit = unit
        return length

    def __reduce__(self) -> tuple[type, tuple[Fraction, str]]:
        return type(self), (Fraction(self.numerator, self.denominator), self.unit)

    def __copy__(self) -> "Length":
        return self

    def __deepcopy__(self, memo: object) -> "Length":
        return self


_FROM_MM: dict[str, Callable[[Fraction], Fraction]] = {
    "mm": lambda mm: mm,
    "cm": lambda mm: mm / 10,
    "in": mm_to_inches,
    "pt": mm_to_points,
}
_PLACES = {"mm": 3, "cm": 4, "in": 4, "pt": 2}


def in_unit_of(like: Fraction, mm: Fraction) -> tuple[Fraction, str]:
    """A length in the unit in which `like` was written, and that unit; millimetres where nobody wrote it."""
    unit = like.unit if isinstance(like, Length) else "mm"
    return _FROM_MM[unit](mm), unit


def show_length(mm: Fraction, like: Fraction | None = None) -> str:
    """A length for people in the unit in which its owner wrote it, or wrote `like`: `0.125 in`, `3.175 mm`."""
    number, unit = in_unit_of(mm if like is None else like, mm)
    return f"{show_mm(number, _PLACES[unit])} {unit}"


def show_size(width_mm: Fraction, height_mm: Fraction) -> str:
    """A size for people: `127 x 177.8 mm`."""
    return f"{show_mm(width_mm)} x {show_mm(height_mm)} mm"


def show_run(first: int, last: int, noun: str = "") -> str:
    """Numbers that follow one another, for people: `7`, `7 to 12`; with a noun `sheet 7`, `sheets 7 to 12`."""
    numbers = str(first) if first == last else f"{first} to {last}"
    return f"{noun if first == last else noun + 's'} {numbers}" if noun else numbers
