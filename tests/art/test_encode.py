import zlib
from dataclasses import replace

import numpy as np
import pytest

from watcher.art.encode import RowPacker, encode_bands, encode_deep, encode_deep_grey, encode_line_art, encode_rows


@pytest.mark.parametrize("colours", [1, 3])
@pytest.mark.parametrize(("height", "width"), [(1, 1), (1, 9), (7, 1), (33, 57)])
def test_rows_come_back_bit_for_bit(pixels, height, width, colours):
    image = np.random.default_rng(1).integers(0, 256, (height, width, colours), np.uint8)
    assert np.array_equal(pixels(encode_rows(image)).reshape(image.shape), image)


def test_rows_of_an_image_that_is_not_one_piece_of_memory_come_back(pixels):
    image = np.random.default_rng(2).integers(0, 256, (9, 20, 4), np.uint8)[::2, ::3, :3]
    assert np.array_equal(pixels(encode_rows(image)), image)


def test_deep_grey_comes_back(pixels):
    image = np.random.default_rng(3).integers(0, 65536, (12, 17), np.uint16)
    assert np.array_equal(pixels(encode_deep_grey(image)), image)


@pytest.mark.parametrize("width", [1, 8, 13])
def test_line_art_comes_back(pixels, width):
    image = np.random.default_rng(4).integers(0, 2, (5, width)).astype(bool)
    stream = encode_line_art(image)
    assert (stream.bits, stream.width_px) == (1, width)
    assert np.array_equal(pixels(stream), image)


def test_the_first_row_stands_as_it_is_and_asks_for_none_above_it():
    """pdfium, drawing a large picture a second time, takes its last row for the one above the first.

    Source: ISO/IEC 15948 9.2, filter type 0; found with two cards of 58 million pixels on a sheet.
    """
    pixels = np.arange(24, dtype=np.uint8).reshape(4, 2, 3)
    rows = zlib.decompress(encode_rows(pixels).data)
    assert rows[:7] == bytes([0, *range(6)])


@pytest.mark.parametrize("rows", [1, 7, 64])
def test_a_picture_in_bands_has_the_very_bytes_of_the_whole(rows):
    image = np.random.default_rng(3).integers(0, 256, (50, 20, 3), np.uint8)
    bands = (image[top : top + rows] for top in range(0, 50, rows))
    assert encode_bands(bands, 50) == encode_rows(image)


@pytest.mark.parametrize("colours", [1, 3])
def test_deep_colours_come_back_with_both_bytes(colours):
    """Source: ISO/IEC 15948 7.1, the higher byte first; 9.2, filter type 2 is less the byte above, modulo 256."""
    image = np.array([[258, 65535, 1], [3, 0, 770]], np.uint16).repeat(colours).reshape(2, 3, colours)
    stream = encode_deep(image, b"profile")
    assert (stream.bits, stream.colours, stream.width_px, stream.height_px) == (16, colours, 3, 2)
    assert stream.icc == b"profile"
    rows = np.frombuffer(zlib.decompress(stream.data), np.uint8).reshape(2, -1)
    assert rows[:, 0].tolist() == [0, 2]
    bytes_of = np.stack([rows[0, 1:], rows[0, 1:] + rows[1, 1:]])
    assert bytes_of.tobytes() == image.astype(">u2").tobytes()


@pytest.mark.parametrize("rows", [1, 7, 64])
def test_a_packer_of_bands_has_the_rows_of_the_whole(rows):
    image = np.random.default_rng(5).integers(0, 256, (50, 20, 3), np.uint8)
    packer = RowPacker()
    for top in range(0, 50, rows):
        packer.add(image[top : top + rows])
    stream, whole = packer.stream(20), encode_rows(image)
    assert zlib.decompress(stream.data) == zlib.decompress(whole.data)
    assert replace(stream, data=whole.data) == whole


def test_what_is_packed_in_the_least_time_is_the_same_picture(pixels):
    image = np.random.default_rng(6).integers(0, 256, (9, 20, 3), np.uint8)
    assert np.array_equal(pixels(encode_rows(image, quick=True)), image)
