"""The effect of a correction on the back page: where points go, and how much bleed can still be printed.

All in millimetres, in the axes of the back page; y up.
"""

import itertools
import math
from fractions import Fraction

from watcher.layout.geometry import Box, Point, Size
from watcher.layout.model import Layout, LayoutRequest
from watcher.layout.printable import rim_of_back, whole_page
from watcher.layout.register.alignment import Correction, correction_matrix
from watcher.layout.white_edges import inked_part
from watcher.units import points_to_mm

_FINEST = 10**6  # a millionth of a millimetre: the matrix is of floating-point numbers


def corrected(point: Point, correction: Correction | None, sheet: Size) -> Point:
    """The place where a point of the back page is drawn once the page is corrected; None corrects nothing."""
    if correction is None:
        return point
    a, b, c, d, e, f = (Fraction(value) for value in correction_matrix(correction, sheet))
    x = a * point.x + c * point.y + points_to_mm(e)
    y = b * point.x + d * point.y + points_to_mm(f)
    return Point(Fraction(round(x * _FINEST), _FINEST), Fraction(round(y * _FINEST), _FINEST))


def furthest_apart(one: Correction | None, other: Correction | None, sheet: Size) -> float:
    """The largest distance between where two corrections bring the same point, mm.

    It is that of a corner of the sheet, since both are affine.
    """
    pairs = ((corrected(corner, one, sheet), corrected(corner, other, sheet)) for corner in _corners(whole_page(sheet)))
    return max(math.hypot(float(a.x - b.x), float(a.y - b.y)) for a, b in pairs)


def bleed_left(layout: Layout, correction: Correction | None, request: LayoutRequest) -> Fraction:
    """The bleed that the printer can still print around every back, once the back page is corrected.

    Args:
        layout: the solved sheet; with backs.
        correction: what the back page is moved by, or None.
        request: what the layout was made from; says where the back page's unprintable rim lies.

    Returns:
        Millimetres, at most the bleed asked for. Less than 0: the rim cuts into a card itself, by so much. Compare it
        with what there is without a correction: a layout with a least bleed below its bleed may start with less.
    """
    area = whole_page(request.sheet).within(rim_of_back(request))
    white = request.bare.back if request.bare is not None and layout.in_rim else None
    distances = [
        min(corner.x - area.left, area.right - corner.x, corner.y - area.bottom, area.top - corner.y)
        for place in layout.places
        if place.back is not None
        for corner in (
            corrected(corner, correction, layout.sheet)
            for corner in _corners(inked_part(place.back.trim, white, place.back.turn))
        )
    ]
    return min([layout.bleed, *distances])


def _corners(box: Box) -> list[Point]:
    return [Point(x, y) for x, y in itertools.product((box.left, box.right), (box.bottom, box.top))]
