"""The outermost pixels of a picture as small images, which are extended into the bleed (`make_bleed = "extend"`).

The whole picture, stretched until one pixel fills the bleed, would do without them. But readers that scale a picture
before they clip it then run out of memory (poppler does at 300 ppi).
"""

import io
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from watcher.art.encode import encode_rows
from watcher.art.model import ImageStream, Raster
from watcher.art.stored_pixels import stored_picture
from watcher.sheet.draw.bleed import End
from watcher.sheet.png_file import png_of_rows

_PNG_COLOUR_TYPE = {1: 0, 3: 2, 4: 6}  # four inks go through Pillow as if they were RGB and alpha
_PALETTE = 3


def edge_images(raster: Raster, ends: Iterable[tuple[End, End]]) -> dict[tuple[End, End], ImageStream]:
    """The outermost row, column or corner pixel of the upright picture for each of `ends` (across, upwards)."""
    stored = _samples(raster.stream)
    upright = np.rot90(np.fliplr(stored) if raster.mirrored else stored, raster.turn // 90)
    images = {}
    for across, upwards in ends:
        part = upright[_rows(upwards), _columns(across)]
        edge = encode_rows(np.ascontiguousarray(part), raster.stream.icc)
        images[across, upwards] = replace(edge, palette=raster.stream.palette)
    return images


def _rows(upwards: End) -> slice:
    return {End.HIGH: slice(0, 1), End.WITHIN: slice(None), End.LOW: slice(-1, None)}[upwards]


def _columns(across: End) -> slice:
    return {End.LOW: slice(0, 1), End.WITHIN: slice(None), End.HIGH: slice(-1, None)}[across]


def _samples(stream: ImageStream) -> NDArray[np.uint8]:
    """The stored samples, height x width x colours, 8 bits each.

    Palette numbers for an indexed image, ink = 255 for four colours.
    """
    if stream.filter == "/DCTDecode":
        pixels = np.asarray(stored_picture(stream))
    else:
        with Image.open(io.BytesIO(_as_png(stream)), formats=("PNG",)) as picture:
            pixels = np.asarray(picture.convert("L") if picture.mode == "1" else picture)
    if pixels.dtype != np.uint8:
        pixels = (pixels.astype(np.uint32) >> 8).astype(np.uint8)
    return pixels if pixels.ndim == 3 else pixels[:, :, np.newaxis]


def _as_png(stream: ImageStream) -> bytes:
    """The rows as a PNG file: predictor 15 is PNG's own (ISO 32000-1 7.4.4.4)."""
    colour_type = _PALETTE if stream.palette else _PNG_COLOUR_TYPE[stream.colours]
    size = stream.width_px, stream.height_px
    return png_of_rows(size, stream.data, bits=stream.bits, colour_type=colour_type, palette=stream.palette or b"")
