"""Give the JPEG data of a TIFF as the stream for the sheet, where it shows the pixels that the TIFF library reads."""

import io
from collections.abc import Iterator
from dataclasses import replace

from PIL import Image, ImageChops
from PIL.TiffImagePlugin import TiffImageFile

from watcher.art.formats import jpeg
from watcher.art.formats.density import upright_as
from watcher.art.formats.tiff_jpeg import PACKING, JoinedJpeg, joined_jpeg
from watcher.art.model import ImageStream
from watcher.inbox.tiff_pages import TiffPage

_BAND_PX = 1_000_000  # pixels compared at once
_BLENDED = 2  # rows or columns on each side of a seam into which a reader may blend what lies beyond


def own_stream(data: bytes, page: TiffPage, picture: Image.Image) -> ImageStream | None:
    """Give a page's own JPEG data as an image stream; None where it has none, or none that can stand alone.

    The stream is decoded once and compared with what the TIFF library read, pixel by pixel: where pieces were joined
    too, but for the two rows on each side in which colours stored at half size are blended.

    Args:
        data: the TIFF.
        page: the page of it.
        picture: its pixels, turned upright as its orientation tag says.
    """
    if page.packing != PACKING or not isinstance(picture, TiffImageFile):
        return None
    joined = joined_jpeg(data, dict(picture.tag_v2))
    if joined is None or not _shows(joined, picture, page.orientation):
        return None
    head = jpeg.read_head(joined.data)
    return replace(jpeg.as_stream(joined.data, head), inverted=False) if jpeg.passes_through(head) else None


def _shows(joined: JoinedJpeg, picture: Image.Image, orientation: int) -> bool:
    mirrored, turn = upright_as(orientation)
    back = picture.rotate(-turn, expand=True) if turn else picture  # the stored pixels again
    back = back.transpose(Image.Transpose.FLIP_LEFT_RIGHT) if mirrored else back
    try:
        with Image.open(io.BytesIO(joined.data), formats=("JPEG",)) as seen:
            seen.load()
            if (seen.mode, seen.size) != (back.mode, back.size):
                return False
            return all(_is_same(seen.crop(box), back.crop(box)) for box in _bands(joined))
    except (OSError, ValueError, SyntaxError):
        return False


def _is_same(one: Image.Image, other: Image.Image) -> bool:
    if one.mode == "CMYK":
        one = ImageChops.invert(one)  # Pillow takes four colours of a JPEG for stored with ink = 0
    return ImageChops.difference(one, other).getbbox() is None


def _bands(joined: JoinedJpeg) -> Iterator[tuple[int, int, int, int]]:
    """The boxes that must be the same: all of the picture but for a few rows at its seams and where tiles were cut."""
    cut = _BLENDED if joined.is_cut else 0
    right, bottom = max(1, joined.width_px - cut), max(1, joined.height_px - cut)
    rows = max(1, _BAND_PX // joined.width_px)
    seams = (0, *joined.seams_px, joined.height_px)
    for above, below in zip(seams, seams[1:], strict=False):
        first = above + _BLENDED if above else 0
        last = min(bottom, below if below == joined.height_px else below - _BLENDED)
        for top in range(first, last, rows):
            yield 0, top, right, min(top + rows, last)
