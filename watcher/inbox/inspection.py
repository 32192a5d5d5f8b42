"""Inspect a ZIP, a PDF or a TIFF: its usable members, its number of pages. Runs in a worker process with limits."""

import io
import zipfile
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import BinaryIO

from pypdf import PdfReader

from watcher.errors import ArtUnreadable
from watcher.inbox.file_names import read_extension
from watcher.inbox.formats import JOB_TICKET, PDF, TIFF, ZIP, FileFormat, format_with
from watcher.inbox.inside import Inside, Member
from watcher.inbox.tiff_pages import tiff_pages
from watcher.inbox.zip_members import member_name, read_each, read_member, usable_members
from watcher.records.plain_text import one_line

__all__ = ["inspect_file", "read_member"]

MOST_PAGES = 500  # ours: so many designs are the most an order has
_SPLIT = "Export its cards as several files"


def inspect_file(path: Path) -> Inside:
    """Return a ZIP's usable members, or the number of pages of a PDF or TIFF; nothing for other files.

    Raises:
        ArtUnreadable: the ZIP or PDF, or a PDF in the ZIP, cannot be used; says why. See `zip_members`.
    """
    found = format_with(read_extension(path.name))
    if found is ZIP:
        read = read_each(path, usable_members(path))  # reading also proves them whole: check sums are compared
        return Inside(members=tuple(_member(path, entry, data) for entry, data in read))
    if found not in _COUNTED:
        return Inside()
    with path.open("rb") as file:
        return Inside(pages=_COUNTED[found](file, path.name))


def _member(path: Path, entry: zipfile.ZipInfo, data: bytes) -> Member:
    name = member_name(entry)
    found = format_with(read_extension(name))
    count = _COUNTED.get(found)
    return Member(
        name=name,
        stored_as=entry.filename,
        size=entry.file_size,
        sha256=sha256(data).hexdigest(),
        pages=count(io.BytesIO(data), f"{path.name}: {one_line(name)}") if count else None,
        text=data if found is JOB_TICKET else None,
    )


def _count_pages(file: BinaryIO, shown: str) -> int:
    """How many pages a PDF has, by walking them: the number that it claims may be wrong."""
    pages = _pages_as_it_is(file)
    if pages is None:
        file.seek(0)
        pages = _pages_once_readable(file.read(), shown)
    if pages == 0:
        raise ArtUnreadable(shown, "is a PDF without a page")
    if pages > MOST_PAGES:
        raise ArtUnreadable(shown, f"has {pages:,} pages; {MOST_PAGES:,} are the most", _SPLIT)
    return pages


def _pages_once_readable(data: bytes, shown: str) -> int:
    """How many pages a locked or damaged PDF has."""
    from watcher.inbox.readable_pdf import UnusablePdf, readable_pdf  # here: the service itself never loads pdfium

    try:
        return len(readable_pdf(data).reader.pages)
    except UnusablePdf as error:
        raise ArtUnreadable(shown, error.reason, error.way_out) from error


def _pages_as_it_is(file: BinaryIO) -> int | None:
    """How many pages are found without taking the whole file into memory; None where it must be unlocked or mended."""
    try:
        reader = PdfReader(file, strict=False)
        return None if reader.is_encrypted else len(reader.pages)
    except Exception:  # the library raises many kinds on a damaged file
        return None


def _count_pictures(file: BinaryIO, shown: str) -> int | None:
    """How many pages a TIFF has when there are several; None for one, which is a picture like any other.

    What is no TIFF inside, whatever its name says, is told when it is opened.
    """
    try:
        pages = sum(page.is_page for page in tiff_pages(file))
    except ValueError:
        return None
    if pages > MOST_PAGES:
        raise ArtUnreadable(shown, f"has more than {MOST_PAGES} pages; {MOST_PAGES} are the most", _SPLIT)
    return pages if pages > 1 else None


_COUNTED: dict[FileFormat | None, Callable[[BinaryIO, str], int | None]] = {PDF: _count_pages, TIFF: _count_pictures}
