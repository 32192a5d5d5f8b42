"""The part of the sheet that both faces can print, and the part of that in which trims may lie."""

from fractions import Fraction

from watcher.errors import NoCardFits
from watcher.layout.backs import box_behind, turns_about_vertical_axis
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.model import LayoutRequest
from watcher.terms import Duplex, Feed
from watcher.units import show_size


def printable_on_front(request: LayoutRequest) -> Box:
    """The area that every face of the sheet can print, in the axes of the front page; mm.

    One-sided: the front page inside its rim. Two-sided: what is also inside the rim of the back page, that rim seen
    through the sheet (for unequal rims the two are not the same place).

    Raises:
        NoCardFits: the rims leave nothing of the sheet.
    """
    page = whole_page(request.sheet)
    front = page.within(request.unprintable)
    if request.flip is None or not request.two_sided:
        return _not_empty(front, request.sheet)
    back = box_behind(page.within(rim_of_back(request)), request.sheet, request.flip)
    common = Box(
        max(front.left, back.left),
        max(front.bottom, back.bottom),
        min(front.right, back.right),
        min(front.top, back.top),
    )
    return _not_empty(common, request.sheet)


def rim_of_back(request: LayoutRequest) -> Margins:
    """The unprintable rim of the back page in that page's own axes, mm.

    The one that is set, if one is set. With automatic duplex the second pass runs tail first, so that either end along
    the feed may meet the wider end of the rim: both get the wider of the two. With manual duplex the printer prints the
    second face as it prints the first.
    """
    if request.unprintable_back is not None:
        return request.unprintable_back
    rim = request.unprintable
    if request.duplex is Duplex.MANUAL:
        return rim
    if _feeds_upwards(request.sheet, request.feed):
        end = max(rim.top, rim.bottom)
        return Margins(end, rim.right, end, rim.left)
    end = max(rim.left, rim.right)
    return Margins(rim.top, end, rim.bottom, end)


def trim_area(request: LayoutRequest) -> Box:
    """The part of the front page in which trims may lie: the printable area less the bleed that must be printed; mm.

    Along the axis that the flip mirrors it is made equal about the sheet's centre (the larger loss on both sides),
    because the block is centred on the sheet there. May be empty or inverted when the sheet is too small.
    """
    room = printable_on_front(request).grown(-request.least_bleed)
    if request.flip is None or not request.two_sided:
        return room
    width, height = request.sheet.width, request.sheet.height
    if turns_about_vertical_axis(request.sheet, request.flip):
        loss = max(room.left, width - room.right)
        return Box(loss, room.bottom, width - loss, room.top)
    loss = max(room.bottom, height - room.top)
    return Box(room.left, loss, room.right, height - loss)


def whole_page(sheet: Size) -> Box:
    """The sheet as a box with its lower left corner at the origin."""
    return Box.at(Fraction(0), Fraction(0), sheet)


def _feeds_upwards(sheet: Size, feed: Feed) -> bool:
    """Whether the sheet runs through the printer along its height."""
    return (feed is Feed.SHORT_EDGE) is not sheet.is_landscape


def _not_empty(area: Box, sheet: Size) -> Box:
    if area.width <= 0 or area.height <= 0:
        size = show_size(sheet.width, sheet.height)
        raise NoCardFits(
            f"The unprintable rim leaves nothing of the {size} sheet. "
            "Check the unprintable margins of this sheet in the settings."
        )
    return area
