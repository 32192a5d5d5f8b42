"""Open one side's file safely: the only way from bytes to `Art`."""

from watcher.art.formats.headers import DAMAGED, foreign_kind
from watcher.art.formats.openers import picture_format
from watcher.art.model import Art
from watcher.art.pdf.page import open_page
from watcher.art.raster import open_raster
from watcher.errors import ArtUnreadable
from watcher.inbox.formats import ART, PDF, PICTURES, format_with, say_formats
from watcher.terms import Side

_TAKEN = f"{say_formats(ART, 'and')} are taken"


def open_art(side: Side, shown: str, sha256: str, data: bytes, ending: str, page: int | None = None) -> Art:
    """Open one side's art and turn it upright.

    Args:
        side: the face it is for.
        shown: the name people know it by.
        sha256: of the file dropped in.
        data: the whole file.
        ending: of its name, lower case, no dot. Which picture format it is, the bytes decide.
        page: page of a PDF or TIFF from 0; None: its only page.

    Raises:
        ArtUnreadable: not a format that is taken, damaged, too large, several pictures in one, or a PDF that cannot be
            placed. No acceptance by the person changes that.
    """
    named = format_with(ending)
    if named is PDF:
        return open_page(side, shown, sha256, data, page)
    if named not in PICTURES:
        raise ArtUnreadable(shown, f"is not a kind of file that can be printed; {_TAKEN}", "Export it as one of these")
    found = picture_format(data)
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
    return ArtUnreadable(shown, f"is really {really}; {_TAKEN}", way_out)
