"""Pixels decoded by Pillow: what is refused, how see-through ones are set on white, and what can be packed."""

import numpy as np
import pytest
from PIL import Image

from watcher.art.pixels import load_picture, pack, with_white_ground
from watcher.errors import ArtUnreadable
from watcher.inbox.formats import JPEG, PNG


def test_a_file_that_is_cut_short_is_refused_by_its_name(picture, saved):
    data = saved(picture(200, 150))
    with pytest.raises(ArtUnreadable, match=r"^fox\.png is damaged"):
        load_picture("fox.png", data[: len(data) // 2], PNG)


def test_a_jpeg_may_be_read_smaller_but_never_below_what_is_asked(picture, saved):
    data = saved(picture(800, 400), "JPEG")
    assert load_picture("x.jpg", data, JPEG).size == (800, 400)
    assert load_picture("x.jpg", data, JPEG, least_px=180).size == (200, 100)


def test_see_through_pixels_become_white_and_an_opaque_picture_stays(picture):
    assert with_white_ground(picture()) is None
    image = Image.new("RGBA", (4, 2), (0, 0, 0, 255))
    image.paste((0, 0, 0, 0), (0, 0, 2, 2))
    found = with_white_ground(image)
    assert found.image.mode == "RGB"
    assert (found.image.getpixel((0, 0)), found.image.getpixel((3, 0))) == ((255, 255, 255), (0, 0, 0))
    assert found.clear == 0.5


def test_the_see_through_value_of_deep_grey_becomes_white_and_no_other():
    image = Image.fromarray(np.array([[300, 301], [302, 300]], np.uint16))
    image.info["transparency"] = 300
    found = with_white_ground(image)
    assert np.asarray(found.image).tolist() == [[65535, 301], [302, 65535]]
    assert found.clear == 0.5


def test_colours_that_no_file_for_print_holds_are_refused_by_name():
    with pytest.raises(ArtUnreadable, match="has Lab colours, which is not taken"):
        pack("x.tif", Image.new("LAB", (2, 2)))
    assert pack("x.png", Image.new("RGBX", (2, 2))).colours == 3
