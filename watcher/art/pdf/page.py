"""Open a page of a PDF as art: kept vector, its boxes, /Rotate and /UserUnit honoured, what is printed on it drawn in.

Source: ISO 32000-1 Table 30 (page entries).
"""

import logging
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from pypdf import PageObject, PdfReader
from pypdf.errors import LimitReachedError

from watcher.art.model import Art, VectorPage
from watcher.art.pdf.annotations import count_annotations
from watcher.art.pdf.boxes import exact_number, read_boxes
from watcher.art.pdf.draws import TooMuchDrawn, count_drawn
from watcher.art.pdf.facts import page_facts
from watcher.art.pdf.layers import hidden_layers
from watcher.art.pdf.printed import has_printed_annotations, with_annotations_drawn
from watcher.art.pdf.thumbnail import page_thumbnail
from watcher.errors import ArtUnreadable
from watcher.inbox.readable_pdf import ReadablePdf, UnusablePdf, readable_pdf
from watcher.layout.geometry import Size
from watcher.terms import Finding, Level, Side, Turn
from watcher.units import points_to_mm, show_size

# Smaller is no card, larger no sheet of a card shop (our own choice).
SHORTEST_MM, LONGEST_MM = 5, 1000
MOST_PAGES = 500

# pypdf logs every oddity of a file, and without a handler that goes to the terminal. What counts is `ArtUnreadable`.
logging.getLogger("pypdf").addHandler(logging.NullHandler())


def open_page(side: Side, shown: str, sha256: str, data: bytes, page: int | None) -> Art:
    """Open one page of a PDF as art; extent in mm.

    Raises:
        ArtUnreadable: damaged, locked, no such page, several pages where one is meant, or of an impossible size.
    """
    try:
        readable = _opened(shown, data)
        view = _read(shown, readable.data, readable.reader, page)
    except ArtUnreadable:
        raise
    except LimitReachedError as cause:
        raise ArtUnreadable(shown, "unpacks to far more than a card needs", "Export it as a picture (PNG)") from cause
    except Exception as cause:  # pypdf raises nearly anything for broken files (found by trying)
        raise ArtUnreadable(shown, "is damaged or not complete") from cause
    extent = _in_mm(view.view.size.turned(view.turn), view.unit)
    thumbnail = page_thumbnail(view)
    if thumbnail is None:
        raise ArtUnreadable(shown, "cannot be drawn: it is damaged or not complete")
    return Art(
        side=side,
        file=shown,
        sha256=sha256,
        extent=extent,
        width_px=None,
        height_px=None,
        content=view,
        findings=tuple(_said_of(shown, side, readable)),
        real_size=extent,
        thumbnail=thumbnail,
    )


def _opened(shown: str, data: bytes) -> ReadablePdf:
    if b"%PDF-" not in data[:1024]:
        raise ArtUnreadable(shown, "is damaged or no PDF at all")
    try:
        return readable_pdf(data)
    except UnusablePdf as cause:
        raise ArtUnreadable(shown, cause.reason, cause.way_out) from cause


def _read(shown: str, data: bytes, reader: PdfReader, number: int | None) -> VectorPage:
    page = _page(shown, reader, number)
    boxes, turn, unit = read_boxes(shown, page), _turn(shown, page), _unit(shown, page)
    _check_drawing(shown, page)
    _check_size(shown, boxes.view.size.turned(turn), unit)
    hidden, at = hidden_layers(reader), number or 0
    annotations = count_annotations(page, hidden)
    if has_printed_annotations(page, hidden):
        printed = with_annotations_drawn(data)
        data, page, annotations = printed.data, printed.reader.pages[at], printed.annotations[at]
        _check_drawing(shown, page)
    facts = replace(page_facts(page, boxes.view.size, unit), annotations=annotations)
    return VectorPage(pdf=data, page=at, view=boxes.view, turn=turn, unit=unit, trim=boxes.trim, facts=facts)


def _check_drawing(shown: str, page: PageObject) -> None:
    try:
        count_drawn(page)
    except TooMuchDrawn as cause:
        raise ArtUnreadable(shown, str(cause), "Export it as a picture (PNG)") from cause


def _said_of(shown: str, side: Side, readable: ReadablePdf) -> Iterator[Finding]:
    """What has to be said of a file that was not read as it is."""
    if readable.mended:
        said = (
            f"{shown} is damaged: the table of what is in it is not where it says. It is read as other programs read "
            "it. Look at the preview whether all is there, or export it again."
        )
        yield Finding(level=Level.WARN, code="pdf-mended", message=said, side=side)
    if readable.in_low_quality:
        said = (
            f"{shown} is protected: its author allows printing, but at low quality only. It is printed as it is; "
            "ask for an export without protection if you were not given it to print."
        )
        yield Finding(level=Level.WARN, code="printing-restricted", message=said, side=side)


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


def _turn(shown: str, page: PageObject) -> Turn:
    clockwise = int(page.rotation or 0)
    if clockwise % 90:
        raise ArtUnreadable(shown, f"is turned by {clockwise} degrees; only quarters are possible")
    return Turn.of(-clockwise)


def _unit(shown: str, page: PageObject) -> Fraction:
    unit = exact_number(page.get("/UserUnit", 1))
    if not 0 < unit <= 1000:
        raise ArtUnreadable(shown, f"has an impossible unit ({unit})")
    return unit


def _check_size(shown: str, points: Size, unit: Fraction) -> None:
    size = _in_mm(points, unit)
    if min(size.width, size.height) < SHORTEST_MM or max(size.width, size.height) > LONGEST_MM:
        shown_size = show_size(size.width, size.height)
        raise ArtUnreadable(shown, f"has a page of {shown_size}; {SHORTEST_MM} to {LONGEST_MM} mm a side are possible")


def _in_mm(points: Size, unit: Fraction) -> Size:
    return Size(points_to_mm(points.width * unit), points_to_mm(points.height * unit))
