"""Find room for small print (the ruler and the slug line) along the sides of the sheet."""

import math
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from watcher.layout.geometry import Box
from watcher.layout.model import Layout, Mark, SlugPlace
from watcher.layout.whole_numbers import WholeBox, WholeUnit, free_between
from watcher.terms import Turn

CLEAR_MM = Fraction("0.5")  # from all bleed, marks and other small print; common practice, no source

Move = Callable[[WholeBox], WholeBox]


@lru_cache(maxsize=64)  # the ruler lies in the same place all day
def place_slug(
    layout: Layout, marks: tuple[Mark, ...], length: Fraction, thickness: Fraction, taken: tuple[Box, ...] = ()
) -> SlugPlace | None:
    """Find a free strip of `length` x `thickness` in the printable area, in the axes of the front page.

    Looked for in the rim below the cards, above, at the left, at the right, as near to the edge of the sheet as it
    goes, then in any other gap; each time in the middle of the longest free stretch. Top and bottom read upright,
    left and right turned to the left. On the back page the place is `box_behind`, with the same turn in that page's
    own axes.

    Args:
        layout: the solved sheet.
        marks: its marks, front axes.
        length: along the line of print, mm.
        thickness: across it, mm.
        taken: what else is already there, mm, front axes.

    Returns:
        The place, or None where there is no room.
    """
    parts = math.lcm(*(mm.denominator for mm in (length, thickness, CLEAR_MM)), *map(_parts_of, taken))
    unit, rooms = _rooms(layout, marks, parts)
    clear = unit.whole(CLEAR_MM)
    also = [unit.box(box).grown(clear) for box in taken]
    for room in rooms:
        obstacles = sorted({*room.obstacles, *(room.there(box) for box in also)}) if also else room.obstacles
        found = _lowest(room.place, obstacles, unit.whole(length), unit.whole(thickness))
        if found:
            return SlugPlace(box=unit.box_in_mm(room.back(found)), turn=room.turn)
    return None


class _Room(NamedTuple):
    """A room to search: how print reads there, its box and its obstacles, turned so that its outer edge lies below."""

    turn: Turn
    place: WholeBox
    there: Move
    back: Move
    obstacles: Sequence[WholeBox]


@lru_cache(maxsize=16)  # a sheet is asked for room for each line and each size of letters
def _rooms(layout: Layout, marks: tuple[Mark, ...], parts: int) -> tuple[WholeUnit, list[_Room]]:
    """The rooms of a sheet in the order in which they are searched, and a unit that divides 1/`parts` mm."""
    bleed_boxes = [place.front.bleed_box for place in layout.places]
    in_the_way = [*bleed_boxes, *(_box_of(mark) for mark in marks)]
    unit = WholeUnit.of_boxes([*in_the_way, layout.printable], Fraction(1, parts), CLEAR_MM)
    obstacles = [unit.box(box).grown(unit.whole(CLEAR_MM)) for box in in_the_way]
    ways = _ways(unit.box(layout.printable), unit.box(Box.around(bleed_boxes)))
    rooms = [
        _Room(turn=turn, place=there(room), there=there, back=back, obstacles=sorted({there(box) for box in obstacles}))
        for turn, room, there, back in ways
    ]
    return unit, rooms


def _parts_of(box: Box) -> int:
    return math.lcm(*(edge.denominator for edge in (box.left, box.bottom, box.right, box.top)))


def _box_of(mark: Mark) -> Box:
    return Box(
        min(mark.start.x, mark.end.x),
        min(mark.start.y, mark.end.y),
        max(mark.start.x, mark.end.x),
        max(mark.start.y, mark.end.y),
    )


def _ways(area: WholeBox, block: WholeBox) -> list[tuple[Turn, WholeBox, Move, Move]]:
    """The rooms in order: how print reads there, the box, and the moves that turn it outer edge down and back."""
    below, above = area._replace(top=block.bottom), area._replace(bottom=block.top)
    left, right = area._replace(right=block.left), area._replace(left=block.right)
    return [
        (Turn.NONE, below, _as_it_is, _as_it_is),
        (Turn.NONE, above, WholeBox.upside_down, WholeBox.upside_down),
        (Turn.LEFT, left, WholeBox.transposed, WholeBox.transposed),
        (Turn.LEFT, right, _right_side_down, _back_to_the_right),
        (Turn.NONE, area, _as_it_is, _as_it_is),
        (Turn.LEFT, area, WholeBox.transposed, WholeBox.transposed),
    ]


def _as_it_is(box: WholeBox) -> WholeBox:
    return box


def _right_side_down(box: WholeBox) -> WholeBox:
    return box.transposed().upside_down()


def _back_to_the_right(box: WholeBox) -> WholeBox:
    return box.upside_down().transposed()


def _lowest(room: WholeBox, obstacles: Sequence[WholeBox], length: int, thickness: int) -> WholeBox | None:
    """The lowest free strip in the room, in the middle of the longest free stretch at that height.

    The lowest one stands either on the floor or on top of an obstacle.
    """
    obstacles = [box for box in obstacles if box.bottom < room.top and room.bottom < box.top]
    floors = sorted({room.bottom, *(box.top for box in obstacles)})
    for floor in floors:
        if floor + thickness > room.top:
            break
        blocked = [(box.left, box.right) for box in obstacles if box.bottom < floor + thickness and floor < box.top]
        free = free_between(room.left, room.right, blocked)
        low, high = max(free, key=lambda stretch: stretch[1] - stretch[0], default=(0, 0))
        if high - low >= length:
            start = (low + high - length) // 2
            return WholeBox(start, floor, start + length, floor + thickness)
    return None
