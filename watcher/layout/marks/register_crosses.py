"""Register crosses: small crosses in the rim, at the same places on both faces, that show how well the two align."""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from watcher.layout.geometry import Box, Point
from watcher.layout.model import Layout, Mark

CROSS_MM = Fraction(5)  # arm to arm; common practice, no source
LEAST_CROSS_MM = Fraction(3)
CLEAR_MM = Fraction("0.3")  # from all bleed and every other mark
_STEP_MM = Fraction(1)


def register_crosses(layout: Layout, marks: Iterable[Mark], taken: Iterable[Box] = ()) -> tuple[Mark, ...]:
    """Place a cross in the rim on each side of the cards where there is room, as near to the middle as possible.

    Args:
        layout: the solved sheet.
        marks: what is drawn there already, axes of the front page.
        taken: what else is there, mm, the same axes.

    Returns:
        Two marks a cross, none where there is no room at all; on the back they lie at `marks_behind`.
    """
    in_the_way = [*(mark.box for mark in marks), *taken, *(place.front.bleed_box for place in layout.places)]
    crosses: list[Mark] = []
    for room, upright in _rooms(layout):
        box = next((box for box in _squares(room, upright) if not _touches(box, in_the_way)), None)
        if box is not None:
            crosses += _cross(box)
    return tuple(crosses)


def _rooms(layout: Layout) -> list[tuple[Box, bool]]:
    """The rim above, right of, below and left of the cards, and whether it runs upwards."""
    area = layout.printable
    block = Box.around([place.front.bleed_box for place in layout.places])
    return [
        (Box(area.left, block.top, area.right, area.top), False),
        (Box(block.right, area.bottom, area.right, area.top), True),
        (Box(area.left, area.bottom, area.right, block.bottom), False),
        (Box(area.left, area.bottom, block.left, area.top), True),
    ]


def _squares(room: Box, upright: bool) -> Iterator[Box]:
    """Squares for a cross in a rim, from its middle outwards; none where it is too narrow."""
    across, along = (room.width, room.height) if upright else (room.height, room.width)
    side = min(CROSS_MM, across - 2 * CLEAR_MM)
    if side < LEAST_CROSS_MM:
        return
    for step in range(int((along - side) / 2 / _STEP_MM) + 1):
        for way in (1, -1):
            off = way * step * _STEP_MM
            x, y = (Fraction(0), off) if upright else (off, Fraction(0))
            middle = Point(room.centre.x + x, room.centre.y + y)
            yield Box(middle.x - side / 2, middle.y - side / 2, middle.x + side / 2, middle.y + side / 2)


def _cross(box: Box) -> list[Mark]:
    middle = box.centre
    return [
        Mark(start=Point(box.left, middle.y), end=Point(box.right, middle.y)),
        Mark(start=Point(middle.x, box.bottom), end=Point(middle.x, box.top)),
    ]


def _touches(box: Box, others: list[Box]) -> bool:
    wide = box.grown(CLEAR_MM)
    return any(
        wide.left < other.right and other.left < wide.right and wide.bottom < other.top and other.bottom < wide.top
        for other in others
    )
