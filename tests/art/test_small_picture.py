"""A card's front as a picture of a few kilobytes."""

from base64 import b64decode
from io import BytesIO

import numpy as np
from PIL import Image

from watcher.art.picture_size import LONGEST_PX, MOST_LETTERS
from watcher.art.small_picture import small_picture


def test_a_picture_keeps_its_shape_and_is_small():
    letters = small_picture(np.full((700, 500, 3), 200, np.uint8))
    picture = Image.open(BytesIO(b64decode(letters)))
    assert (picture.format, picture.size) == ("JPEG", (LONGEST_PX * 5 // 7, LONGEST_PX))


def test_the_wildest_picture_still_fits():
    noise = np.random.default_rng(1).integers(0, 256, (LONGEST_PX, LONGEST_PX, 3), np.uint8)
    assert len(small_picture(noise)) <= MOST_LETTERS


def test_the_same_picture_gives_the_same_letters():
    pixels = np.random.default_rng(2).integers(0, 256, (300, 200, 3), np.uint8)
    assert small_picture(pixels) == small_picture(pixels.copy())
