"""Decode a PNG of 8 bits in bands of a few rows; each is looked at, and packed where need be, before the next one.

The picture as a whole never stands in memory: of 60 million pixels no more than a few megabytes are unpacked at a time,
and what fits the processor's own memory is worked on faster. Each row is read to its last bit, as in `png.unpacked`.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from isal import isal_zlib
from numpy.typing import NDArray
from PIL import Image

from watcher.art.encode import RowPacker
from watcher.art.formats.headers import DAMAGED
from watcher.art.formats.png import NotPacked, PngParts, as_stream, not_compressed, passes_through
from watcher.art.model import ImageStream, Thumbnail
from watcher.art.pixels import with_white_ground
from watcher.art.thumbnail import Reducer
from watcher.terms import Turn

_MODES = {0: "L", 2: "RGB", 3: "P", 4: "LA", 6: "RGBA"}
_COLOURS = {"L": 1, "RGB": 3}
_LAST_FILTER = 4  # ISO/IEC 15948 9.2: none, sub, up, average, Paeth
_BAND_BYTES = 1 << 18
_PIECE = 1 << 15  # packed bytes taken in at a time


@dataclass(frozen=True, kw_only=True)
class Banded:
    """What one way through a PNG gave: the stream for the sheet and the small picture for the checks."""

    stream: ImageStream
    thumbnail: Thumbnail


def goes_in_bands(parts: PngParts) -> bool:
    """Whether a PNG can be read in bands: 8 bits, rows in their order, nothing see-through but by an alpha channel."""
    if parts.bits != 8 or parts.interlaced or parts.clear or parts.colour_type not in _MODES:
        return False
    return parts.colour_type != 3 or passes_through(parts)


def read_in_bands(parts: PngParts, *, turn: Turn = Turn.NONE, mirrored: bool = False) -> Banded:
    """Everything that is wanted of a PNG, for parts that go in bands.

    Args:
        parts: the PNG.
        turn: with `mirrored` what brings it upright, as in `Raster`.
        mirrored: see `turn`.

    Raises:
        ValueError: why the rows cannot be used, to follow the file's name.
    """
    size = parts.width_px, parts.height_px
    reducer, packer, clear = Reducer(size), RowPacker(), 0.0
    has_alpha = parts.colour_type in (4, 6)
    for band in _pictures(parts, reducer.rows_at_once(max(1, _BAND_BYTES // parts.stride))):
        if has_alpha:
            grounded = with_white_ground(band)
            assert grounded is not None
            clear += grounded.clear * band.height
            band = grounded.image
            packer.add(_samples(band))
        reducer.add(band)
    stream = packer.stream(parts.width_px) if has_alpha else as_stream(parts)
    return Banded(
        stream=stream, thumbnail=reducer.thumbnail(turn=turn, mirrored=mirrored, clear=clear / parts.height_px)
    )


def _samples(picture: Image.Image) -> NDArray[np.uint8]:
    pixels = np.asarray(picture)
    return pixels if pixels.ndim == 3 else pixels[:, :, np.newaxis]


def _pictures(parts: PngParts, rows: int) -> Iterator[Image.Image]:
    """The picture in bands of so many rows. Pillow undoes the row filters: each band gets the row above it again."""
    mode, above = _MODES[parts.colour_type], b""
    for band in _bands(parts, rows):
        held = len(band) // (1 + parts.stride) + bool(above)
        blocks = b"".join(not_compressed(above + band))
        picture = Image.frombytes(mode, (parts.width_px, held), blocks, "zip", mode, 0)
        if mode == "P":
            picture.putpalette((parts.palette or b"")[:768])
        lower = picture.crop((0, 1, parts.width_px, held)) if above else picture
        above = b"\0" + lower.crop((0, lower.height - 1, parts.width_px, lower.height)).tobytes()
        yield lower


def _bands(parts: PngParts, rows: int) -> Iterator[bytes]:
    """The filtered rows, so many at a time.

    Raises:
        ValueError: too many or too few of them, or one with a filter that there is not.
    """
    stride = 1 + parts.stride
    left = parts.height_px * stride
    held = bytearray()
    for piece in _unpacked(parts.packed, left):
        held += piece
        if len(held) > left:
            raise ValueError(f"unpacks to more than the {parts.width_px:,} x {parts.height_px:,} px that it announces")
        while len(held) >= rows * stride or (held and len(held) == left):
            band = bytes(held[: rows * stride])
            if max(band[::stride]) > _LAST_FILTER:
                raise ValueError(DAMAGED)
            yield band
            del held[: len(band)]
            left -= len(band)
    if left:
        raise ValueError(DAMAGED)


def _unpacked(packed: Iterable[memoryview], most: int) -> Iterator[bytes]:
    """What packed data unpacks to, piece by piece; at the most one byte more than `most`."""
    stream, left = isal_zlib.decompressobj(), most + 1
    for part in (view[at : at + _PIECE] for view in packed for at in range(0, len(view), _PIECE)):
        try:
            piece = stream.decompress(part, left)
        except NotPacked as cause:
            raise ValueError(DAMAGED) from cause
        yield piece
        left -= len(piece)
        if stream.eof or not left:
            return
