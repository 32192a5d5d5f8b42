"""PNG files written around rows that are packed already, read back by Pillow."""

import io
import zlib

import numpy as np
import pytest
from PIL import Image

from watcher.art.encode import encode_rows
from watcher.art.formats.png_file import chunks_to_png, png_head, png_of
from watcher.art.model import ImageStream


@pytest.mark.parametrize(("colours", "mode"), [(1, "L"), (3, "RGB"), (4, "RGBA")])
def test_the_rows_of_a_stream_come_back_as_they_were(colours, mode):
    pixels = np.arange(5 * 7 * colours, dtype=np.uint8).reshape(5, 7, colours)
    written = Image.open(io.BytesIO(png_of(encode_rows(pixels))))
    assert (written.mode, written.size) == (mode, (7, 5))
    assert np.array_equal(np.asarray(written).reshape(pixels.shape), pixels)


def test_a_palette_is_written_before_the_pixels():
    rows = zlib.compress(b"\0\x01")  # one row: filter "none", entry 1
    stream = ImageStream(data=rows, filter="/FlateDecode", predictor=15, width_px=1, height_px=1, bits=8, colours=1,
                         palette=b"\0\0\0\x10\x20\x30")  # fmt: skip
    assert Image.open(io.BytesIO(png_of(stream))).convert("RGB").getpixel((0, 0)) == (16, 32, 48)


def test_empty_chunks_are_left_out():
    written = chunks_to_png([(b"IHDR", png_head(1, 1, 8, 0)), (b"PLTE", b""), (b"IDAT", zlib.compress(b"\0\xff"))])
    assert b"PLTE" not in written
    assert written.endswith(b"\0\0\0\0IEND\xae\x42\x60\x82")
