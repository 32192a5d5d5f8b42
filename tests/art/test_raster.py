"""A picture file opened as art: its own data goes on, it stands upright, and what its head says is kept."""

import io

import pytest
from PIL import Image

from watcher.art.formats.profile import SRGB
from watcher.art.raster import open_raster
from watcher.inbox.formats import JPEG, PNG
from watcher.layout.geometry import Size
from watcher.terms import Level, Side


@pytest.fixture
def opened_raster():
    """Opens bytes as a back."""
    return lambda data, kind: open_raster(Side.BACK, "x", "0" * 64, data, kind)


def test_the_data_of_a_jpeg_goes_on_as_it_came(picture, saved, opened_raster):
    data = saved(picture(), "JPEG")
    stream = opened_raster(data, JPEG).content.stream
    assert stream.filter == "/DCTDecode"
    assert Image.open(io.BytesIO(stream.data)).tobytes() == Image.open(io.BytesIO(data)).tobytes()


def test_a_picture_is_as_wide_as_it_is_read(picture, saved, opened_raster):
    """EXIF orientation 6: a quarter to the right. Source: CIPA DC-008 4.6.4, tag 0x0112."""
    exif = Image.Exif()
    exif[0x0112] = 6
    art = opened_raster(saved(picture(40, 30), "JPEG", exif=exif), JPEG)
    assert (art.width_px, art.height_px, art.extent) == (30, 40, Size(30, 40))
    assert (art.content.stream.width_px, art.content.stream.height_px) == (40, 30)
    assert art.thumbnail.picture.shape == (40, 30, 3)


def test_colours_without_a_profile_are_taken_as_srgb_and_grey_is_left_alone(picture, saved, opened_raster):
    assert opened_raster(saved(picture()), PNG).content.stream.icc == SRGB
    assert opened_raster(saved(picture(mode="L")), PNG).content.stream.icc is None


def test_of_a_file_of_several_pictures_the_first_is_taken_with_a_warning(picture, saved, opened_raster):
    data = saved(picture(), "MPO", save_all=True, append_images=[picture(20, 20)])
    art = opened_raster(data, JPEG)
    (finding,) = art.findings
    assert (art.width_px, finding.code, finding.level) == (40, "several-pictures", Level.WARN)
    assert finding.side is Side.BACK


def test_what_is_see_through_is_packed_again_on_white(saved, opened_raster, pixels):
    image = Image.new("RGBA", (8, 6), (10, 20, 30, 255))
    image.paste((10, 20, 30, 0), (0, 0, 4, 6))
    art = opened_raster(saved(image), PNG)
    assert art.thumbnail.clear == 0.5
    assert pixels(art.content.stream)[0, [0, 7]].tolist() == [[255, 255, 255], [10, 20, 30]]
