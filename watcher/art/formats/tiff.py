"""Find the page of a TIFF that is meant, and say why a TIFF cannot be read. Source: TIFF 6.0 section 8 (fields)."""

import io

from watcher.errors import ArtUnreadable
from watcher.inbox.tiff_pages import TiffPage, tiff_pages

_SIGNED, _FLOATING = 2, 3
_DEPTHS = (1, 2, 4, 8, 16)
# Numbers of the photometric interpretation and of the compression: sections 8, 16, 23; the others from memory.
_COLOURS = {8: "Lab colours", 9: "Lab colours", 10: "Lab colours", 32803: "a camera's raw pixels"}
_COLOURS |= {32844: "colours by their light (LogL)", 32845: "colours by their light (LogLuv)", 34892: "raw pixels"}
_TAKEN_PACKINGS = (1, 2, 3, 4, 5, 6, 7, 8, 32773, 32946)


def read_tiff_head(shown: str, data: bytes, page: int | None) -> TiffPage:
    """Return the page that is meant: the one of that number among the pages, from 0, or the only one.

    Raises:
        ArtUnreadable: no such page, or several where one is meant.
        ValueError: the file's first directory is not all there.
    """
    pages = [found for found in tiff_pages(io.BytesIO(data)) if found.is_page]
    if page is None and len(pages) > 1:
        raise ArtUnreadable(shown, f"has {len(pages)} pages where one is wanted", "Export each side as its own file")
    if page is not None and not 0 <= page < len(pages):
        raise ArtUnreadable(shown, f"has no page {page + 1}, only {len(pages)}")
    return pages[page or 0]


def tiff_fault(page: TiffPage) -> str | None:
    """Why a page that is whole cannot be read, to follow the file's name; None when nothing odd is known of it."""
    if page.sample_format == _FLOATING:
        return "has colours in floating point, which is not taken"
    if page.colours in _COLOURS:
        return f"has {_COLOURS[page.colours]}, which is not taken"
    if page.sample_format == _SIGNED:
        return f"has {page.bits} bits per colour with a sign, for values below nought, which is not taken"
    if page.bits not in _DEPTHS:
        return f"has {page.bits} bits per colour; 1, 8 and 16 are taken"
    if page.packing not in _TAKEN_PACKINGS:
        return f"is packed in a way that is not taken (number {page.packing})"
    return None
