"""Which part of a PDF page is the art, and where in it the card's trim lies.

Sources: ISO 32000-1 14.11.2 (page boundaries), Table 30 (page entries; a trim box and a bleed box are never inherited),
7.9.5 (rectangles, corners in any order).
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pypdf import PageObject

from watcher.art.model import VectorPage
from watcher.errors import ArtUnreadable
from watcher.layout.geometry import Box, Point
from watcher.terms import Turn
from watcher.units import points_to_mm

# Boxes that lie closer than this are the same: writers round points to whole ones and to hundredths (our own choice).
_SAME_POINTS = Fraction(15, 100)


@dataclass(frozen=True, kw_only=True)
class PageBoxes:
    """What of a page is drawn, and the trim where the file says one apart from that; the page's own unturned points."""

    view: Box
    trim: Box | None


def read_boxes(shown: str, page: PageObject) -> PageBoxes:
    """The boxes of a page.

    A bleed box is what is drawn, even beyond the crop box; else the crop box is, which is what viewers show. What lies
    outside (crop marks, notes to the printer) is left out. A trim box that says no more than that is no news.

    Raises:
        ArtUnreadable: the page has no size, or the crop box lies beside it.
    """
    try:
        media, crop = exact_box(page.mediabox), exact_box(page.cropbox)
    except (ValueError, TypeError, ZeroDivisionError) as cause:  # /MediaBox is required (ISO 32000-1 Table 30)
        raise ArtUnreadable(shown, "does not say how large its page is") from cause
    if not media.overlaps(crop):
        raise ArtUnreadable(shown, "shows nothing: its crop box lies beside the page")
    seen = media.meet(crop)
    trim, bleed = _written(page, "/TrimBox", media), _written(page, "/BleedBox", media)
    if bleed is not None and trim is not None and not bleed.grown(_SAME_POINTS).contains(trim):
        bleed = None  # a bleed box within the trim says nothing
    view = bleed or seen
    if trim is None or _same(trim, view):
        return PageBoxes(view=view, trim=None)
    return PageBoxes(view=view if view.contains(trim) else Box.around([view, trim]).meet(media), trim=trim)


def upright_trim(page: VectorPage) -> Box | None:
    """The page's trim once the page is upright, mm from the lower left of what is drawn; None without one."""
    if page.trim is None:
        return None
    corners = (Point(page.trim.left, page.trim.bottom), Point(page.trim.right, page.trim.top))
    first, second = (_turned(corner, page) for corner in corners)
    left, right = sorted((first.x, second.x))
    bottom, top = sorted((first.y, second.y))
    return Box(*(points_to_mm(side * page.unit) for side in (left, bottom, right, top)))


def _turned(point: Point, page: VectorPage) -> Point:
    """A point of the page after it was turned; origin at the lower left of what is drawn then."""
    view = page.view
    x, y = point.x - view.left, point.y - view.bottom
    return {
        Turn.NONE: Point(x, y),
        Turn.LEFT: Point(view.height - y, x),
        Turn.HALF: Point(view.width - x, view.height - y),
        Turn.RIGHT: Point(y, view.width - x),
    }[page.turn]


def exact_box(corners: Any) -> Box:
    """A rectangle of a PDF, its corners in order, its numbers as they are written."""
    x0, y0, x1, y1 = (exact_number(value) for value in list(corners)[:4])
    return Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def exact_number(value: Any) -> Fraction:
    """The number as it is written in the file, not its nearest binary neighbour."""
    return Fraction(str(value.get_object() if hasattr(value, "get_object") else value))


def _written(page: PageObject, key: str, media: Box) -> Box | None:
    """A box that the page itself says, as far as it lies on the page; None for none or one without area."""
    if key not in page:
        return None
    try:
        box = exact_box(page[key])
    except (ValueError, TypeError, ZeroDivisionError):
        return None
    return media.meet(box) if box.width and box.height and media.overlaps(box) else None


def _same(one: Box, other: Box) -> bool:
    return one.grown(_SAME_POINTS).contains(other) and other.grown(_SAME_POINTS).contains(one)
