"""The correction that brings a printer's backs into register, as one matrix for the back page."""

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from watcher.layout.geometry import Point, Size
from watcher.units import mm_to_points

Matrix = tuple[float, float, float, float, float, float]


class Terms(StrEnum):
    """The terms of a correction that are fitted."""

    SHIFT = "shift"
    SHIFT_TURN = "shift and turn"
    ALL = "shift, turn and scale"


@dataclass(frozen=True, kw_only=True)
class Correction:
    """Shift, turn and scale of the back page about the sheet's centre, in the axes of the back page.

    Attributes:
        shift: to the right and up, mm.
        turn_degrees: counter-clockwise.
        scale_x, scale_y: factors, 1 for none.
    """

    shift: Point = Point(Fraction(0), Fraction(0))
    turn_degrees: float = 0.0
    scale_x: float = 1.0
    scale_y: float = 1.0


def is_identity(correction: Correction | None) -> bool:
    """Whether a correction moves no point; True for None."""
    return correction is None or correction == Correction()


def correction_matrix(correction: Correction, sheet: Size) -> Matrix:
    """The numbers a b c d e f of the PDF `cm` operator that corrects the back page; points.

    A point p of the page goes to c + R S (p - c) + shift: scaled along the page's axes, then turned, both about the
    sheet's centre c, then shifted. Source of the six numbers' order: ISO 32000-1 8.3.3 (x' = a x + c y + e,
    y' = b x + d y + f).
    """
    turn = math.radians(correction.turn_degrees)
    a, b = correction.scale_x * math.cos(turn), correction.scale_x * math.sin(turn)
    c, d = -correction.scale_y * math.sin(turn), correction.scale_y * math.cos(turn)
    centre_x, centre_y = float(mm_to_points(sheet.width / 2)), float(mm_to_points(sheet.height / 2))
    shift_x, shift_y = float(mm_to_points(correction.shift.x)), float(mm_to_points(correction.shift.y))
    e = centre_x + shift_x - (a * centre_x + c * centre_y)
    f = centre_y + shift_y - (b * centre_x + d * centre_y)
    return a, b, c, d, e, f
