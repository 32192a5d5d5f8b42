"""One side's file opened safely: the single way from bytes to `Art`."""

from watcher.art.formats.headers import DAMAGED, foreign_kind, raster_kind
from watcher.art.model import Art
from watcher.art.pdf.page import open_page
from watcher.art.raster import open_raster
from watcher.errors import ArtUnreadable
from watcher.terms import Side

PICTURE_KINDS = frozenset({"png", "jpg", "jpeg", "tif", "tiff", "webp"})
TAKEN = "PNG, JPEG, TIFF, WebP and PDF are taken"


def open_art(side: Side, shown: str, sha256: str, data: bytes, kind: str, page: int | None = None) -> Art:
    """One side's art, opened and upright.

    Args:
        side: the face it is for.
        shown: the name people know it by.
        sha256: of the file dropped in.
        data: the whole file.
        kind: its extension in lower case, no dot. Which picture format it is, the bytes decide.
        page: page of a PDF or TIFF from 0; None: its only page.

    Raises:
        ArtUnreadable: not a format that is taken, damaged, too large, several pictures in one, or a PDF that cannot be
            placed. No acceptance by the person changes that.
    """
    if kind == "pdf":
        return open_page(side, shown, sha256, data, page)
    if kind not in PICTURE_KINDS:
        raise ArtUnreadable(shown, f"is not a kind of file that can be printed; {TAKEN}", "Export it as one of these")
    found = raster_kind(data)
    if found is None:
        raise _not_a_picture(shown, data)
    return open_raster(side, shown, sha256, data, found, page)


def _not_a_picture(shown: str, data: bytes) -> ArtUnreadable:
    if not data.strip(b"\0"):
        return ArtUnreadable(shown, "is empty", "Export it again")
    really = foreign_kind(data)
    if really is None:
        return ArtUnreadable(shown, f"{DAMAGED}, or not a picture at all")
    way_out = "Name it .pdf" if really == "a PDF" else "Export it as one of these"
    return ArtUnreadable(shown, f"is really {really}; {TAKEN}", way_out)
