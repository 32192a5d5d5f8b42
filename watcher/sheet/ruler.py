"""A ruler of 100 mm and 4 in: laid against any other it shows at once whether the sheet was printed at actual size."""

from fractions import Fraction
from functools import lru_cache

from reportlab.pdfgen.canvas import Canvas

from watcher.sheet.lettering import FONT, Strip
from watcher.units import inches_to_mm, mm_to_points

RULER_LENGTH_MM = Fraction(114)
RULER_THICKNESS_MM = Fraction("4.4")
RULER_START_MM = Fraction("2.6")  # where both scales begin within the strip

_HUNDRED_MM = 100
_FOUR_INCHES = 4
_EIGHTHS = 8
_LINE_PT = 0.25
_TYPE_PT = 5.0
_LABEL_GAP_MM = Fraction("0.8")
# Lengths of the ticks, mm: every one, every half of ten (or half inch), every ten (or inch).
_SHORT, _MIDDLE, _LONG = Fraction("0.8"), Fraction("1.3"), Fraction("1.9")


@lru_cache(maxsize=1)
def ruler_strip() -> Strip:
    """The ruler: millimetres above its line, inches below."""
    return Strip(length_mm=RULER_LENGTH_MM, thickness_mm=RULER_THICKNESS_MM, draw=_draw)


def _draw(canvas: Canvas) -> None:
    canvas.setLineWidth(_LINE_PT)
    canvas.lines(_lines())
    _label(canvas, _inches_end() + _LABEL_GAP_MM, RULER_THICKNESS_MM / 2)


def _inches_end() -> Fraction:
    return RULER_START_MM + inches_to_mm(Fraction(_FOUR_INCHES))


@lru_cache(maxsize=1)
def _lines() -> list[tuple[float, ...]]:
    """The line and its ticks, points; worked out once in a process."""
    middle = RULER_THICKNESS_MM / 2
    ticks = [(RULER_START_MM + mm, _tick(mm, 5, 10)) for mm in range(_HUNDRED_MM + 1)]
    ticks += [
        (RULER_START_MM + inches_to_mm(Fraction(eighth, _EIGHTHS)), -_tick(eighth, 4, 8))
        for eighth in range(_FOUR_INCHES * _EIGHTHS + 1)
    ]
    lines = [(RULER_START_MM, middle, _inches_end(), middle)] + [(x, middle, x, middle + length) for x, length in ticks]
    return [tuple(float(mm_to_points(value)) for value in line) for line in lines]


def _label(canvas: Canvas, x: Fraction, middle: Fraction) -> None:
    canvas.setFont(FONT, _TYPE_PT)
    left, line = float(mm_to_points(x)), float(mm_to_points(middle))
    canvas.drawRightString(float(mm_to_points(RULER_START_MM - _LABEL_GAP_MM)), line - 1.8, "0")
    canvas.drawString(left, line + 1.2, f"{_HUNDRED_MM} mm")
    canvas.drawString(left, line - 5.0, f"{_FOUR_INCHES} in")


def _tick(number: int, half: int, whole: int) -> Fraction:
    return _LONG if number % whole == 0 else _MIDDLE if number % half == 0 else _SHORT
