import pytest
from PIL import Image, ImageCms

from watcher.art.formats.profile import fitting_profile


@pytest.fixture
def srgb() -> bytes:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def test_a_profile_of_the_right_colours_goes_along(picture, saved, opened, srgb):
    for format, kind in (("PNG", "png"), ("JPEG", "jpg"), ("TIFF", "tif")):
        assert opened(saved(picture(), format, icc_profile=srgb), kind).content.stream.icc == srgb


def test_a_grey_picture_does_not_take_an_rgb_profile(picture, saved, opened, srgb):
    assert opened(saved(picture(mode="L"), icc_profile=srgb)).content.stream.icc is None


def test_a_palette_takes_an_rgb_profile(picture, saved, opened, srgb):
    assert opened(saved(picture().quantize(8), icc_profile=srgb)).content.stream.icc == srgb


def test_the_profile_stays_when_art_is_set_on_white(saved, opened, srgb):
    assert opened(saved(Image.new("RGBA", (4, 4)), icc_profile=srgb)).content.stream.icc == srgb


@pytest.mark.parametrize(
    "broken",
    [
        lambda icc: icc[:100],
        lambda icc: icc[:200],
        lambda icc: icc[:36] + b"nope" + icc[40:],
        lambda icc: icc[:12] + b"link" + icc[16:],
        lambda icc: icc[:16] + b"CMYK" + icc[20:],
    ],
)
def test_a_broken_or_foreign_profile_is_left_behind(srgb, broken):
    assert fitting_profile(broken(srgb), 3) is None
