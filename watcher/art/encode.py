"""Encode pixels as a PDF image stream, without loss and fast, where a file's own data cannot pass through.

Measured (1575 x 2100 RGB like a photo): rows filtered "Up" by numpy and packed by isal level 3 take 55 ms, by zlib
level 1 166 ms, Pillow's own PNG writer at level 1 takes 287 ms, for the same bytes within 10 %.
"""

import io
from collections.abc import Iterable

import numpy as np
from isal import isal_zlib
from numpy.typing import NDArray

from watcher.art.model import ImageStream

# Levels 1 and 2 are faster (33 ms), but what they give depends on what the memory held before: of 1,500 times the same
# pixels, 12 to 33 came out in other bytes (github.com/intel/isa-l, issue 140, asks for it). Level 3: of 4,000, none.
# Level 0 is the fastest of all and as steady, but packs a photo to nearly twice the size.
_LEVEL, _QUICK_LEVEL = 3, 0
_AS_IT_IS = 0
_UP = 2  # PNG filter type: each byte less the one above it (ISO/IEC 15948 9.2)


def encode_rows(pixels: NDArray[np.uint8], icc: bytes | None = None, *, quick: bool = False) -> ImageStream:
    """Encode `pixels` as an image stream, height x width x colours (1 grey, 3 RGB, 4 CMYK with ink = 255).

    Args:
        pixels: the picture.
        icc: its colour profile, or None.
        quick: packed in the least time, for pictures that are small or soon thrown away.
    """
    height, width, colours = pixels.shape
    level = _QUICK_LEVEL if quick else _LEVEL
    rows = pixels.reshape(height, width * colours)
    return _stream(rows, width_px=width, colours=colours, bits=8, icc=icc, level=level)


def encode_bands(bands: Iterable[NDArray[np.uint8]], height_px: int) -> ImageStream:
    """Encode a picture that comes in bands, from the top down: the bytes of `encode_rows`, in less memory.

    Args:
        bands: each height x width x colours.
        height_px: of all of them.
    """
    filtered: NDArray[np.uint8] | None = None
    above: NDArray[np.uint8] | None = None
    top = 0
    for band in bands:
        height, width, colours = band.shape
        rows = band.reshape(height, width * colours)
        if filtered is None:
            filtered = np.empty((height_px, 1 + rows.shape[1]), np.uint8)
        filtered[top : top + height] = _filtered(rows, above)
        above, top = rows[-1], top + height
    assert filtered is not None
    assert top == height_px
    data = isal_zlib.compress(filtered, _LEVEL)
    return _as_stream(data, width_px=width, height_px=height_px, colours=colours, bits=8)


class RowPacker:
    """Packs a picture that comes in bands, from the top down; for the same pixels the rows of `encode_rows`."""

    def __init__(self) -> None:
        self._packer = isal_zlib.compressobj(_LEVEL)
        self._packed = io.BytesIO()  # one block that grows: many small ones would not go back to the system
        self._above: NDArray[np.uint8] | None = None
        self._height = self._colours = 0

    def add(self, pixels: NDArray[np.uint8]) -> None:
        """Take in the next rows: height x width x colours, as many colours as before."""
        height, width, self._colours = pixels.shape
        rows = pixels.reshape(height, width * self._colours)
        self._packed.write(self._packer.compress(_filtered(rows, self._above)))
        self._above = rows[-1]
        self._height += height

    def stream(self, width_px: int) -> ImageStream:
        """The image stream of all rows, when the last one is in."""
        self._packed.write(self._packer.flush())
        return _as_stream(
            self._packed.getvalue(), width_px=width_px, height_px=self._height, colours=self._colours, bits=8
        )


def encode_deep_grey(pixels: NDArray[np.uint16]) -> ImageStream:
    """Encode grey `pixels` as an image stream, height x width, all 16 bits kept."""
    return encode_deep(pixels[:, :, np.newaxis])


def encode_deep(pixels: NDArray[np.uint16], icc: bytes | None = None) -> ImageStream:
    """Encode `pixels` as an image stream, height x width x 1 (grey) or 3 (RGB), all 16 bits kept."""
    height, width, colours = pixels.shape
    rows = np.ascontiguousarray(pixels, dtype=">u2").view(np.uint8).reshape(height, 2 * width * colours)
    return _stream(rows, width_px=width, colours=colours, bits=16, icc=icc)


def encode_line_art(pixels: NDArray[np.bool_]) -> ImageStream:
    """Encode black (False) and white (True) `pixels` as an image stream, height x width, one bit each."""
    return _stream(np.packbits(pixels, axis=1), width_px=pixels.shape[1], colours=1, bits=1, icc=None)


def _stream(
    rows: NDArray[np.uint8], *, width_px: int, colours: int, bits: int, icc: bytes | None, level: int = _LEVEL
) -> ImageStream:
    data = isal_zlib.compress(_filtered(rows), level)
    return _as_stream(data, width_px=width_px, height_px=len(rows), colours=colours, bits=bits, icc=icc)


def _filtered(rows: NDArray[np.uint8], above: NDArray[np.uint8] | None = None) -> NDArray[np.uint8]:
    """Rows less the one above each, with the byte that says so.

    The first one of a picture says that there is none above it. Less nothing it were the same, but pdfium goes wrong
    there when it draws a picture of over 60 MB a second time: it takes the last row for the one above (measured).
    """
    filtered = np.empty((len(rows), 1 + rows.shape[1]), np.uint8)
    filtered[:, 0] = _UP
    filtered[0, 0] = _UP if above is not None else _AS_IT_IS
    filtered[0, 1:] = rows[0] if above is None else rows[0] - above
    np.subtract(rows[1:], rows[:-1], out=filtered[1:, 1:])  # modulo 256, as the filter wants it
    return filtered


def _as_stream(
    data: bytes, *, width_px: int, height_px: int, colours: int, bits: int, icc: bytes | None = None
) -> ImageStream:
    return ImageStream(
        data=data,
        filter="/FlateDecode",
        predictor=15,
        width_px=width_px,
        height_px=height_px,
        bits=bits,
        colours=colours,
        icc=icc,
    )
