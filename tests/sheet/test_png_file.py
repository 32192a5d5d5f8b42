"""PNG files written fast, as Pillow reads them."""

import io

import numpy as np
import pytest
from PIL import Image

from watcher.sheet.png_file import RGB, png_file, png_of_rows


@pytest.mark.parametrize("size", [(1, 1), (60, 84), (129, 2)])
def test_pixels_come_back_as_they_were(colours, size):
    pixels = colours(*size)
    with Image.open(io.BytesIO(png_file(pixels))) as picture:
        assert (picture.format, picture.mode) == ("PNG", "RGB")
        assert np.array_equal(np.asarray(picture), pixels)


def test_a_view_of_a_larger_picture_is_written_too(colours):
    pixels = colours()[::-1, 5:40]
    assert np.array_equal(np.asarray(Image.open(io.BytesIO(png_file(pixels)))), pixels)


def test_the_same_pixels_give_the_same_bytes(colours):
    assert png_file(colours()) == png_file(colours())


def test_a_palette_stands_before_the_rows():
    written = png_of_rows((1, 1), b"rows", bits=8, colour_type=3, palette=b"\x01\x02\x03")
    assert written.index(b"PLTE\x01\x02\x03") < written.index(b"IDATrows")
    assert b"PLTE" not in png_of_rows((1, 1), b"rows", bits=8, colour_type=RGB)
