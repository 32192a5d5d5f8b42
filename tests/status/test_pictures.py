"""What a page may carry in itself is small, and what it says it is."""

from base64 import b64decode, b64encode
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from watcher.instructions import held_picture
from watcher.status.pictures import MOST_BYTES, is_shown_by_browsers, jpeg_picture, png_picture, steps_to


def test_a_jpeg_in_base64_is_taken_as_it_is():
    letters = b64encode(b"\xff\xd8\xff\xe0 any").decode()
    picture = jpeg_picture(letters)
    assert picture is not None
    assert (picture.kind, picture.letters) == ("image/jpeg", letters)


@pytest.mark.parametrize("letters", ["", "x", "iVBORw0KGgo=", '/9j/"><script>', "/9j/4\n", "/9j/4==", "/9j/===="])
def test_anything_else_is_no_picture(letters):
    assert jpeg_picture(letters) is None


@pytest.fixture
def png(tmp_path: Path) -> Path:
    file = tmp_path / "a.png"
    packed = BytesIO()
    Image.new("RGB", (20, 30), "red").save(packed, "PNG")
    file.write_bytes(packed.getvalue())
    return file


def test_a_small_png_is_taken(png):
    picture = png_picture(png)
    assert picture is not None
    assert b64decode(picture.letters) == png.read_bytes()


def test_a_png_that_is_none_too_large_or_gone_is_not(png):
    data = png.read_bytes()
    for other in (b"GIF89a" + data[6:], data + bytes(MOST_BYTES), data[:16] + b"\xff" * 8 + data[24:], b""):
        png.write_bytes(other)
        assert png_picture(png) is None
    png.unlink()
    assert png_picture(png) is None


def test_the_picture_of_a_held_order_fits():
    assert held_picture.MOST_BYTES <= MOST_BYTES


def test_two_pictures_are_told_apart_without_being_shown():
    one, other = (jpeg_picture(b64encode(b"\xff\xd8\xff" + end).decode()) for end in (b"one", b"two"))
    assert repr(one) != repr(other)
    assert one is not None
    assert one.letters not in repr(one)


def test_the_way_goes_from_the_outbox(tmp_path):
    assert steps_to(tmp_path / "held/a b", tmp_path / "outbox") == ("..", "held", "a b")


def test_a_list_asks_for_no_art_that_is_large_or_that_no_browser_shows():
    assert is_shown_by_browsers("a_front.PNG", 2_000_000)
    assert not is_shown_by_browsers("a_front.png", 50_000_000)
    assert not is_shown_by_browsers("a_front.tif", 1000)
