"""Draw the ruler of 100 mm and 4 in, or a shorter one, with which the printed size is checked."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from reportlab.pdfgen.canvas import Canvas

from watcher.sheet.draw.lettering import FONT, Strip
from watcher.units import inches_to_mm, mm_to_points

RULER_THICKNESS_MM = Fraction("4.4")
RULER_START_MM = Fraction("2.6")  # where both scales begin within the strip
_LABEL_ROOM_MM = Fraction("9.8")  # past the end of the inches

_EIGHTHS = 8
_LINE_PT = 0.25
_TYPE_PT = 5.0
_LABEL_GAP_MM = Fraction("0.8")
# Lengths of the ticks, mm: every one, every half of ten (or half inch), every ten (or inch).
_SHORT, _MIDDLE, _LONG = Fraction("0.8"), Fraction("1.3"), Fraction("1.9")


@dataclass(frozen=True)
class Ruler:
    """The lengths of the two scales of a ruler."""

    mm: int
    inches: int

    @property
    def length_mm(self) -> Fraction:
        """The length of the strip that the ruler takes."""
        return self.inches_end_mm + _LABEL_ROOM_MM

    @property
    def inches_end_mm(self) -> Fraction:
        """Where the inches end within the strip."""
        return RULER_START_MM + inches_to_mm(Fraction(self.inches))


# The longest first: a sheet has the first that finds room. On 25 mm a sheet enlarged by 4 % is off by 1 mm.
RULERS = (Ruler(100, 4), Ruler(50, 2), Ruler(25, 1))
LONG_RULER = RULERS[0]


@lru_cache(maxsize=len(RULERS))
def ruler_strip(ruler: Ruler = LONG_RULER) -> Strip:
    """The ruler as a small page: millimetres above its line, inches below."""

    def draw(canvas: Canvas) -> None:
        canvas.setLineWidth(_LINE_PT)
        canvas.lines(_lines(ruler))
        _label(canvas, ruler)

    return Strip(length_mm=ruler.length_mm, thickness_mm=RULER_THICKNESS_MM, draw=draw)


@lru_cache(maxsize=len(RULERS))
def _lines(ruler: Ruler) -> list[tuple[float, ...]]:
    """The line and its ticks, points."""
    middle = RULER_THICKNESS_MM / 2
    ticks = [(RULER_START_MM + mm, _tick(mm, 5, 10)) for mm in range(ruler.mm + 1)]
    ticks += [
        (RULER_START_MM + inches_to_mm(Fraction(eighth, _EIGHTHS)), -_tick(eighth, 4, 8))
        for eighth in range(ruler.inches * _EIGHTHS + 1)
    ]
    lines = [(RULER_START_MM, middle, ruler.inches_end_mm, middle)]
    lines += [(x, middle, x, middle + length) for x, length in ticks]
    return [tuple(float(mm_to_points(value)) for value in line) for line in lines]


def _label(canvas: Canvas, ruler: Ruler) -> None:
    canvas.setFont(FONT, _TYPE_PT)
    left = float(mm_to_points(ruler.inches_end_mm + _LABEL_GAP_MM))
    line = float(mm_to_points(RULER_THICKNESS_MM / 2))
    canvas.drawRightString(float(mm_to_points(RULER_START_MM - _LABEL_GAP_MM)), line - 1.8, "0")
    canvas.drawString(left, line + 1.2, f"{ruler.mm} mm")
    canvas.drawString(left, line - 5.0, f"{ruler.inches} in")


def _tick(number: int, half: int, whole: int) -> Fraction:
    return _LONG if number % whole == 0 else _MIDDLE if number % half == 0 else _SHORT
