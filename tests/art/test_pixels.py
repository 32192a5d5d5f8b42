"""Pixels decoded by Pillow: what is refused, how see-through ones are set on white, and what can be packed."""

import numpy as np
import pytest
from PIL import Image

from watcher.art.pixels import load_picture, pack, with_white_ground
from watcher.errors import ArtUnreadable
from watcher.inbox.formats import JPEG, PNG, WEBP


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


@pytest.mark.parametrize(
    ("mode", "see_through", "found"),
    [
        ("RGBA", (10, 20, 30, 0), (255, 255, 255)),
        ("RGBA", (0, 0, 0, 51), (204, 204, 204)),  # a fifth of black on white
        ("LA", (0, 0), 255),
        ("LA", (0, 51), 204),
    ],
)
def test_ink_that_is_see_through_in_part_is_mixed_with_white(mode, see_through, found):
    image = Image.new(mode, (2, 1), see_through)
    image.putpixel((1, 0), (0,) * (len(see_through) - 1) + (255,))
    grounded = with_white_ground(image)
    assert grounded.image.mode == mode[:-1]
    assert grounded.image.getpixel((0, 0)) == found
    assert grounded.clear == pytest.approx((1 - see_through[-1] / 255) / 2)


def test_transparency_that_hides_nothing_leaves_the_colours_and_says_so():
    grounded = with_white_ground(Image.new("RGBA", (2, 2), (9, 8, 7, 255)))
    assert (grounded.image.getpixel((0, 0)), grounded.clear) == ((9, 8, 7), 0)


def test_a_see_through_colour_of_16_bits_is_found_in_the_8_that_pillow_reads(saved, png_of):
    """Source: ISO/IEC 15948 11.3.2.1: tRNS has 16 bits for each colour of a picture of 16 bits."""
    rows = b"\0" + bytes([1, 0, 2, 0, 3, 0]) + bytes([9, 0, 8, 0, 7, 0])
    data = png_of(2, 1, 16, 2, rows, extra=[(b"tRNS", bytes([1, 0, 2, 0, 3, 0]))])
    grounded = with_white_ground(load_picture("x.png", data, PNG))
    assert [grounded.image.getpixel((at, 0)) for at in (0, 1)] == [(255, 255, 255), (9, 8, 7)]
    assert grounded.clear == 0.5


@pytest.mark.parametrize(
    ("mode", "bits", "colours"),
    [("L", 8, 1), ("RGB", 8, 3), ("CMYK", 8, 4), ("P", 8, 3), ("YCbCr", 8, 3), ("1", 1, 1), ("I;16", 16, 1)],
)
def test_each_kind_of_pixels_is_packed_with_its_own_depth(picture, mode, bits, colours):
    stream = pack("x", picture(70, 130, mode))
    assert (stream.bits, stream.colours, stream.width_px, stream.height_px) == (bits, colours, 70, 130)


def test_a_picture_of_more_rows_than_a_band_is_packed_whole(picture, pixels):
    image = picture(30, 130)
    assert np.array_equal(pixels(pack("x", image)), np.asarray(image))


def test_a_moving_picture_is_refused_with_how_many_it_holds(saved, picture):
    data = saved(picture(), "WEBP", save_all=True, append_images=[picture(mode="L").convert("RGB")])
    with pytest.raises(ArtUnreadable, match=r"x\.webp holds 2 moving pictures; one side is one picture"):
        load_picture("x.webp", data, WEBP)
