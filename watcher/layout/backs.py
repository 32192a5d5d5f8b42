"""The place on the back page that lies behind a place on the front, and the turn of the back's art there.

The axes of each page are its own: both pages are read upright, origin lower left. Nothing here mirrors art; only
places move. Source: RFC 8011 5.2.8 (what the two flips mean); worked tables in tests/layout/test_backs.py, and an
independent turn in space in tests/outside/test_backs.py.
"""

from watcher.layout.geometry import Box, Point, Size
from watcher.terms import Backs, Flip, Turn


def turns_about_vertical_axis(sheet: Size, flip: Flip) -> bool:
    """Whether the sheet turns about its vertical axis, so that left and right change places.

    A long edge stands upright on a portrait sheet and lies on a landscape one. A square sheet counts as portrait.
    """
    return (flip is Flip.LONG_EDGE) is not sheet.is_landscape


def point_behind(point: Point, sheet: Size, flip: Flip) -> Point:
    """The point of the other page that lies behind `point`, in that page's own axes; twice gives `point` again."""
    if turns_about_vertical_axis(sheet, flip):
        return Point(sheet.width - point.x, point.y)
    return Point(point.x, sheet.height - point.y)


def box_behind(box: Box, sheet: Size, flip: Flip) -> Box:
    """Give the box that lies behind `box` after the sheet is turned.

    Args:
        box: on one page; mm, origin lower left of the whole sheet.
        sheet: the whole sheet, not the printable part; mm.
        flip: the edge the sheet is turned on.

    Returns:
        A box of the same size in the axes of the other page. The way back is the same: twice gives `box` again.
    """
    if turns_about_vertical_axis(sheet, flip):
        return Box(sheet.width - box.right, box.bottom, sheet.width - box.left, box.top)
    return Box(box.left, sheet.height - box.top, box.right, sheet.height - box.bottom)


def turn_behind(turn: Turn, sheet: Size, flip: Flip, backs: Backs) -> Turn:
    """The turn of the back's art on the back page, given that its front is turned by `turn` on the front page.

    Only the card's own turn counts for how its back must stand; the sheet's turn decides between the plain opposite
    angle and an extra half turn.
    """
    like_the_sheet = turns_about_vertical_axis(sheet, flip) is (backs is Backs.HEAD_TO_HEAD)
    return Turn.of(-turn if like_the_sheet else 180 - turn)
