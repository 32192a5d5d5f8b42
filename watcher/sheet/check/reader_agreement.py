"""Tell whether two PDF libraries see the same in a page; asked when a sheet does not look like its art.

Each library repairs a damaged PDF in its own way. The one that writes our sheets may then read what the one that
renders them does not. The sheet is not at fault then, and nobody knows what the art was meant to show.
"""

import io
from dataclasses import replace

import numpy as np
from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject, StreamObject
from pypdfium2 import PdfiumError

from watcher.art.model import VectorPage
from watcher.errors import ArtUnreadable
from watcher.sheet.check.expected import page_as_drawn
from watcher.sheet.draw.plan import SheetPlan

_SIZE_PX = (400, 400)  # about; a page costs 20 ms
_UNLIKE = 40  # levels, averaged over 3 x 3 px, as `by_sight.FOREIGN_LEVELS`
_FEW = 6


def refuse_if_readers_differ(plan: SheetPlan) -> None:
    """Compare every page of PDF art on the sheets, rendered as it came and as the other library rewrites it.

    Raises:
        ArtUnreadable: the two do not look alike.
    """
    for design in {design for form in plan.forms for design in form.designs if design is not None}:
        for face in (design.front, design.back):
            if face is not None and isinstance(face.art.content, VectorPage) and not _reads_alike(face.art.content):
                reason = "is damaged or put together oddly: not every program shows the same of it"
                raise ArtUnreadable(face.art.file, reason, "Export it again, or as a picture (PNG)")


def _reads_alike(page: VectorPage) -> bool:
    try:
        one, other = (_seen(each) for each in (page, replace(page, pdf=_written_again(page), page=0)))
    except (PdfiumError, ValueError):
        return False
    if one.shape != other.shape:
        return False
    far = np.abs(one - other).max(axis=2)
    return int(np.count_nonzero(far > _UNLIKE)) <= _FEW


def _seen(page: VectorPage) -> np.ndarray[tuple[int, ...], np.dtype[np.int16]]:
    picture: Image.Image = page_as_drawn(page, _SIZE_PX).reduce(3)
    return np.asarray(picture).astype(np.int16)


def _written_again(page: VectorPage) -> bytes:
    """A PDF of the page alone, as pypdf rewrites it."""
    writer, finished, contents = PdfWriter(), io.BytesIO(), StreamObject()
    alone = writer.add_page(PdfReader(io.BytesIO(page.pdf)).pages[page.page])
    found = alone.get_contents()
    contents.set_data(b"" if found is None else found.get_data())
    alone[NameObject("/Contents")] = writer._add_object(contents)
    writer.write(finished)
    return finished.getvalue()
