"""Changes of axes in floating point between card, page, corrected page and pixels.

For checking what was drawn; drawing itself uses exact fractions (`matrix.py`). Source: ISO 32000-1 8.3.3.
"""

import math
from dataclasses import dataclass

from watcher.layout.affine import Six, product
from watcher.layout.geometry import Box, Size
from watcher.layout.model import Face
from watcher.layout.register.alignment import Correction
from watcher.terms import Turn


@dataclass(frozen=True)
class Frame:
    """A change of axes: x' = a x + c y + e, y' = b x + d y + f."""

    numbers: Six[float]

    @classmethod
    def scaled(cls, x: float, y: float) -> "Frame":
        """A change of size about the origin."""
        return cls((x, 0.0, 0.0, y, 0.0, 0.0))

    @classmethod
    def moved(cls, x: float, y: float) -> "Frame":
        """A shift."""
        return cls((1.0, 0.0, 0.0, 1.0, x, y))

    def after(self, first: "Frame") -> "Frame":
        """The frame that does `first`, then this one on its result."""
        return Frame(product(first.numbers, self.numbers))

    @property
    def inverse(self) -> "Frame":
        """The frame that undoes this one."""
        a, b, c, d, e, f = self.numbers
        area = a * d - b * c
        return Frame((d / area, -b / area, -c / area, a / area, (c * f - d * e) / area, (b * e - a * f) / area))

    def at(self, x: float, y: float) -> tuple[float, float]:
        """The point that (x, y) is brought to."""
        a, b, c, d, e, f = self.numbers
        return a * x + c * y + e, b * x + d * y + f


def card_on_page(face: Face, correction: Correction | None, sheet: Size) -> Frame:
    """The frame from the card's own axes (mm, origin at the lower left of its trim, upright) to the page (mm, y up)."""
    lying = _turned_into(face.trim, face.turn)
    return lying if correction is None else correcting(correction, sheet).after(lying)


def correcting(correction: Correction, sheet: Size) -> Frame:
    """The frame of a correction: scales and turns about the sheet's centre, then shifts; mm."""
    x, y = float(sheet.width) / 2, float(sheet.height) / 2
    turn = math.radians(correction.turn_degrees)
    cos, sin = math.cos(turn), math.sin(turn)
    scaled = Frame.scaled(correction.scale_x, correction.scale_y)
    turned = Frame((cos, sin, -sin, cos, 0.0, 0.0))
    back = Frame.moved(x + float(correction.shift.x), y + float(correction.shift.y))
    return back.after(turned).after(scaled).after(Frame.moved(-x, -y))


def _turned_into(box: Box, turn: Turn) -> Frame:
    left, bottom, right, top = (float(value) for value in (box.left, box.bottom, box.right, box.top))
    return {
        Turn.NONE: Frame((1.0, 0.0, 0.0, 1.0, left, bottom)),
        Turn.LEFT: Frame((0.0, 1.0, -1.0, 0.0, right, bottom)),
        Turn.HALF: Frame((-1.0, 0.0, 0.0, -1.0, right, top)),
        Turn.RIGHT: Frame((0.0, -1.0, 1.0, 0.0, left, top)),
    }[turn]
