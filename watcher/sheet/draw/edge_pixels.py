"""The outermost pixels of a picture as tiny images of their own, to run out into the bleed (`make_bleed = "extend"`).

Drawing the whole picture again, stretched until one pixel fills the bleed, would spare them, but readers that scale a
picture before they clip it run out of memory at that (poppler does at 300 ppi).
"""

import io
import struct
import zlib
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from watcher.art.encode import encode_rows
from watcher.art.model import ImageStream, Raster
from watcher.sheet.draw.bleed import End

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
    data = stream.data if stream.filter == "/DCTDecode" else _as_png(stream)
    with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
        pixels = np.asarray(picture.convert("L") if picture.mode == "1" else picture)
    if pixels.dtype != np.uint8:
        pixels = (pixels.astype(np.uint32) >> 8).astype(np.uint8)
    return pixels if pixels.ndim == 3 else pixels[:, :, np.newaxis]


def _as_png(stream: ImageStream) -> bytes:
    """The rows with a PNG's head and foot: predictor 15 is PNG's own (ISO 32000-1 7.4.4.4)."""
    colour_type = _PALETTE if stream.palette else _PNG_COLOUR_TYPE[stream.colours]
    head = struct.pack(">IIBBBBB", stream.width_px, stream.height_px, stream.bits, colour_type, 0, 0, 0)
    chunks = [(b"IHDR", head), (b"PLTE", stream.palette or b""), (b"IDAT", stream.data), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(kind, body) for kind, body in chunks if body or kind == b"IEND")


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
