"""Decode the pixels of an image stream into a Pillow image, for measuring, converting and comparing.

The stream itself goes into the sheet as it came; what is unpacked here only looks at it.
"""

import io

import numpy as np
from PIL import Image, ImageChops

from watcher.art.formats.png_file import png_of
from watcher.art.model import ImageStream, Raster

_DEEP = 8  # bits that are dropped from 16


def stored_picture(stream: ImageStream, at_least_px: tuple[int, int] | None = None) -> Image.Image:
    """Decode the stored pixels, not yet upright: mode L, RGB or CMYK (ink = 255), 8 bits each.

    Args:
        stream: as it goes into the sheet.
        at_least_px: a JPEG may be read smaller than it is, down to this size (its own scaling by 2, 4 and 8).
    """
    if stream.filter == "/DCTDecode":
        with Image.open(io.BytesIO(stream.data), formats=("JPEG",)) as picture:
            if at_least_px is not None:
                picture.draft(None, at_least_px)
            plain = _plain(picture)
            # Pillow takes four colours of a JPEG for stored with ink = 0, whatever its markers say
            return ImageChops.invert(plain) if stream.colours == 4 and not stream.inverted else plain
    with Image.open(io.BytesIO(png_of(stream)), formats=("PNG",)) as picture:
        if stream.colours == 4:
            return Image.frombytes("CMYK", picture.size, picture.tobytes())
        return _plain(picture)


def upright(picture: Image.Image, raster: Raster) -> Image.Image:
    """Return a picture of the stored pixels mirrored and turned as the raster says."""
    if raster.mirrored:
        picture = picture.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    return picture.rotate(raster.turn, expand=True) if raster.turn else picture


def _plain(picture: Image.Image) -> Image.Image:
    if picture.mode.startswith("I"):
        deep = np.asarray(picture)
        return Image.fromarray((deep >> _DEEP).astype(np.uint8))
    if picture.mode in ("L", "RGB", "CMYK"):
        picture.load()
        return picture.copy()
    return picture.convert("L" if picture.mode == "1" else "RGB")
