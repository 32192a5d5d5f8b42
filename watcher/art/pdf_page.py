"""A page of a PDF as art: kept vector, its crop box, /Rotate and /UserUnit honoured.

Sources: ISO 32000-1 Table 30 (page entries), 14.11.2 (page boundaries), 7.9.5 (rectangles, corners in any order).
"""

import io
import logging
from fractions import Fraction
from typing import Any

from pypdf import PageObject, PdfReader
from pypdf.errors import DependencyError

from watcher.art.model import Art, VectorPage
from watcher.art.pdf_draws import DrawsWithoutEnd, count_drawn
from watcher.errors import ArtUnreadable
from watcher.layout.geometry import Box, Size
from watcher.terms import Side, Turn
from watcher.units import points_to_mm, show_size

# Smaller is no card, larger no sheet of a card shop (library-notes 5, R5.2).
SHORTEST_MM, LONGEST_MM = 5, 1000
MOST_PAGES = 500

# pypdf grumbles about every oddity of every file; where nobody listens that must not land on the terminal. What counts
# comes out as `ArtUnreadable`.
logging.getLogger("pypdf").addHandler(logging.NullHandler())


def open_page(side: Side, shown: str, sha256: str, data: bytes, page: int | None) -> Art:
    """One page of a PDF as art; extent in mm.

    Raises:
        ArtUnreadable: damaged, locked, no such page, several pages where one is meant, or of an impossible size.
    """
    try:
        view = _read(shown, data, page)
    except ArtUnreadable:
        raise
    except Exception as cause:  # pypdf raises nearly anything for broken files (library-notes 5, R5.3)
        raise ArtUnreadable(shown, "is damaged or not complete") from cause
    return Art(
        side=side,
        file=shown,
        sha256=sha256,
        extent=_extent(shown, view),
        width_px=None,
        height_px=None,
        content=view,
    )


def _read(shown: str, data: bytes, number: int | None) -> VectorPage:
    if b"%PDF-" not in data[:1024]:
        raise ArtUnreadable(shown, "is damaged or no PDF at all")
    reader = _open(shown, data)
    page = _page(shown, reader, number)
    try:
        count_drawn(page)
    except DrawsWithoutEnd as cause:
        raise ArtUnreadable(shown, "draws things within themselves without end") from cause
    return VectorPage(
        pdf=data, page=number or 0, view=_view(shown, page), turn=_turn(shown, page), unit=_unit(shown, page)
    )


def _open(shown: str, data: bytes) -> PdfReader:
    try:
        reader = PdfReader(io.BytesIO(data))
        is_locked = reader.is_encrypted
    except DependencyError:  # what pypdf says of modern encryption, which needs a package that we do not
        is_locked = True
    if is_locked:
        raise ArtUnreadable(shown, "is locked with a password or with rights", "Export it without any protection")
    return reader


def _page(shown: str, reader: PdfReader, number: int | None) -> PageObject:
    count = len(reader.pages)
    if count < 1:
        raise ArtUnreadable(shown, "has no page")
    if count > MOST_PAGES:
        raise ArtUnreadable(shown, f"has {count} pages; {MOST_PAGES} are the most")
    if number is None and count > 1:
        raise ArtUnreadable(shown, f"has {count} pages where one is wanted", "Export each side as its own file")
    if number is not None and not 0 <= number < count:
        raise ArtUnreadable(shown, f"has no page {number + 1}, only {count}")
    return reader.pages[number or 0]


def _view(shown: str, page: PageObject) -> Box:
    media, crop = _box(page.mediabox), _box(page.cropbox)
    if not media.overlaps(crop):
        raise ArtUnreadable(shown, "shows nothing: its crop box lies beside the page")
    return media.meet(crop)


def _box(corners: Any) -> Box:
    x0, y0, x1, y1 = (_exact(value) for value in list(corners)[:4])
    return Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def _exact(value: Any) -> Fraction:
    """The number as it is written in the file, not its nearest binary neighbour."""
    return Fraction(str(value.get_object() if hasattr(value, "get_object") else value))


def _turn(shown: str, page: PageObject) -> Turn:
    clockwise = int(page.rotation or 0)
    if clockwise % 90:
        raise ArtUnreadable(shown, f"is turned by {clockwise} degrees; only quarters are possible")
    return Turn.of(-clockwise)


def _unit(shown: str, page: PageObject) -> Fraction:
    unit = _exact(page.get("/UserUnit", 1))
    if not 0 < unit <= 1000:
        raise ArtUnreadable(shown, f"has an impossible unit ({unit})")
    return unit


def _extent(shown: str, page: VectorPage) -> Size:
    points = page.view.size.turned(page.turn)
    size = Size(points_to_mm(points.width * page.unit), points_to_mm(points.height * page.unit))
    if min(size.width, size.height) < SHORTEST_MM or max(size.width, size.height) > LONGEST_MM:
        shown_size = show_size(size.width, size.height)
        raise ArtUnreadable(shown, f"has a page of {shown_size}; {SHORTEST_MM} to {LONGEST_MM} mm a side are possible")
    return size
