"""Pixels of an image stream decoded again."""

import numpy as np
import pytest
from PIL import Image

from watcher.art.encode import encode_rows
from watcher.art.model import Raster
from watcher.art.stored_pixels import stored_picture, upright
from watcher.terms import Turn


@pytest.mark.parametrize(("colours", "mode"), [(1, "L"), (3, "RGB"), (4, "CMYK")])
def test_rows_come_back_in_their_colours(colours, mode):
    pixels = np.arange(6 * 8 * colours, dtype=np.uint8).reshape(6, 8, colours)
    picture = stored_picture(encode_rows(pixels))
    assert picture.mode == mode
    assert np.array_equal(np.asarray(picture).reshape(pixels.shape), pixels)


def test_a_jpeg_may_be_read_smaller(picture, saved, opened):
    stream = opened(saved(picture(800, 600), "JPEG"), "jpg").content.stream
    assert stored_picture(stream).size == (800, 600)
    assert stored_picture(stream, (200, 150)).size == (200, 150)


def test_16_bits_become_their_upper_8(picture, saved, opened):
    deep = picture(mode="I;16")
    stream = opened(saved(deep)).content.stream
    assert np.array_equal(np.asarray(stored_picture(stream)), np.asarray(deep) >> 8)


def test_a_raster_is_mirrored_first_and_turned_then(picture, opened, saved):
    image = picture()
    raster = Raster(stream=opened(saved(image)).content.stream, turn=Turn.LEFT, mirrored=True)
    expected = image.transpose(Image.Transpose.FLIP_LEFT_RIGHT).rotate(90, expand=True)
    assert np.array_equal(np.asarray(upright(image, raster)), np.asarray(expected))
