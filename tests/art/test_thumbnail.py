import io

import numpy as np
import pytest
from PIL import Image, ImageOps

from watcher.art.thumbnail import make_thumbnail
from watcher.terms import Turn


@pytest.mark.parametrize("mode", ["RGB", "L", "P", "1", "I;16"])
def test_a_small_picture_is_kept_as_it_is(picture, mode):
    image = picture(mode=mode)
    plain = Image.fromarray((np.asarray(image) >> 8).astype(np.uint8)) if mode == "I;16" else image
    assert np.array_equal(make_thumbnail(image).picture, np.asarray(plain.convert("RGB")))


@pytest.mark.parametrize(
    ("size", "seen"), [((1575, 2175), (1088, 788)), ((1599, 900), (900, 1599)), ((3200, 10), (3, 800))]
)
def test_a_large_one_is_reduced_by_a_whole_number(picture, size, seen):
    assert make_thumbnail(picture(*size)).picture.shape[:2] == seen


def test_it_is_upright_as_the_art_is(picture, saved, opened):
    """Against Pillow's own reading of the orientation, for all eight (EXIF 2.3)."""
    for orientation in range(1, 9):
        exif = Image.Exif()
        exif[0x0112] = orientation
        data = saved(picture(), exif=exif)
        art = opened(data)
        upright = ImageOps.exif_transpose(Image.open(io.BytesIO(data)))
        assert np.array_equal(art.thumbnail.picture, np.asarray(upright))


def test_ink_is_the_sum_of_all_four_in_percent():
    pixels = np.zeros((4, 4, 4), np.uint8)
    pixels[0, 0] = 255
    pixels[1, 1] = (51, 102, 0, 255)
    ink = make_thumbnail(Image.fromarray(pixels, "CMYK")).ink
    assert (ink[0, 0], ink[1, 1], ink[3, 3]) == (400, 160, 0)
    assert make_thumbnail(Image.new("RGB", (4, 4))).ink is None


def test_a_turned_picture_turns_left_for_left():
    pixels = np.zeros((2, 3, 3), np.uint8)
    pixels[0, 2] = 255
    turned = make_thumbnail(Image.fromarray(pixels), turn=Turn.LEFT).picture
    assert turned.shape[:2] == (3, 2)
    assert turned[0, 0].tolist() == [255, 255, 255]


@pytest.mark.parametrize("mode", ["RGB", "L", "P", "1", "I;16"])
def test_art_that_passes_through_is_looked_at_all_the_same(picture, saved, opened, mode):
    """The look of a PNG whose rows go into the sheet as they are, against the picture it was made from."""
    image = picture(mode=mode)
    assert np.array_equal(opened(saved(image)).thumbnail.picture, make_thumbnail(image).picture)
