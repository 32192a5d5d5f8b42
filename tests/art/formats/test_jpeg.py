import io

import numpy as np
import pytest
from PIL import Image

from watcher.art.formats.jpeg import has_hole, read_head
from watcher.terms import Level, Turn

# EXIF 2.3 tag 274 as the standard draws it: where row 0 and column 0 of the stored pixels lie in the upright picture.
UPRIGHT = {
    1: lambda pixels: pixels,
    2: np.fliplr,
    3: lambda pixels: np.rot90(pixels, 2),
    4: np.flipud,
    5: lambda pixels: pixels.transpose(1, 0, 2),
    6: lambda pixels: np.rot90(pixels, -1),
    7: lambda pixels: np.rot90(pixels, 2).transpose(1, 0, 2),
    8: np.rot90,
}


@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize(("mode", "colours"), [("RGB", 3), ("L", 1)])
def test_jpeg_bytes_pass_through_as_they_are(picture, saved, opened, mode, colours, progressive):
    data = saved(picture(mode=mode), "JPEG", progressive=progressive)
    stream = opened(data, "jpg").content.stream
    assert (stream.data, stream.filter, stream.colours, stream.inverted) == (data, "/DCTDecode", colours, False)


def test_a_cmyk_jpeg_passes_through_as_inverted(picture, saved, opened):
    data = saved(picture(mode="CMYK"), "JPEG")
    stream = opened(data, "jpg").content.stream
    assert (stream.data, stream.colours, stream.inverted) == (data, 4, True)


def test_rgb_marked_by_adobe_alone_passes_through(picture, saved, opened):
    """Without JFIF the Adobe marker says RGB to libjpeg and to PDF readers alike."""
    data = saved(picture(), "JPEG", keep_rgb=True, quality=95)
    assert opened(data, "jpg").content.stream.filter == "/DCTDecode"


def test_rgb_that_only_its_component_names_tell_is_packed_again(picture, saved, opened, pixels):
    """The JPEG library reads components R, G, B without any marker as RGB; a PDF reader would take them for YCbCr."""
    data = saved(picture(), "JPEG", keep_rgb=True, quality=95)
    at = data.index(b"\xff\xee")
    bare = data[:at] + data[at + 2 + int.from_bytes(data[at + 2 : at + 4]) :]
    stream = opened(bare, "jpg").content.stream
    assert stream.filter == "/FlateDecode"
    assert np.array_equal(pixels(stream), np.asarray(Image.open(io.BytesIO(bare))))


@pytest.mark.parametrize("value", range(1, 9))
def test_exif_orientation_becomes_mirror_and_turn(picture, saved, opened, value):
    """Mirrored left to right, then turned counter-clockwise, the stored pixels are the upright picture."""
    exif = Image.Exif()
    exif[0x0112] = value
    art = opened(saved(picture(), "JPEG", exif=exif), "jpg")
    stored = np.asarray(picture())
    upright = np.rot90(np.fliplr(stored) if art.content.mirrored else stored, art.content.turn // 90)
    assert np.array_equal(upright, UPRIGHT[value](stored))
    assert upright.shape[:2] == (art.height_px, art.width_px)


def test_an_impossible_orientation_counts_for_nothing(picture, saved, opened):
    exif = Image.Exif()
    exif[0x0112] = 77
    assert opened(saved(picture(), "JPEG", exif=exif), "jpg").content.turn is Turn.NONE


@pytest.mark.parametrize("keep", [0.02, 0.5, 0.98])
def test_a_jpeg_cut_short_is_refused(picture, saved, refusal, keep):
    data = saved(picture(300, 300), "JPEG")
    assert "is damaged or not complete" in refusal(data[: int(len(data) * keep)], "jpg")


def test_a_jpeg_half_of_zeros_is_refused(picture, saved, refusal):
    """What a preallocated file looks like; Pillow alone takes it for a picture that is half grey (tried below)."""
    data = saved(picture(300, 300), "JPEG")
    half = len(data) // 2
    Image.open(io.BytesIO(data[:half] + b"\0" * 50 * half)).load()
    assert "is damaged" in refusal(data[:half] + b"\0" * 50 * half, "jpg")


@pytest.mark.parametrize(("zeros", "is_hole"), [(127, False), (200, True)])
def test_zeros_that_spell_detail_are_a_hole_however_short(picture, saved, zeros, is_hole):
    """The word of zeros in the usual table of a grey picture is a detail (T.81 table K.5: its first value is 01)."""
    data = saved(picture(300, 300, "L"), "JPEG")
    middle = len(data) * 3 // 4
    data = data[:middle] + bytes(zeros) + data[middle:]
    assert has_hole(data, read_head(data)) is is_hole


def test_the_end_of_a_thumbnail_is_not_the_end_of_the_picture(picture, saved, refusal):
    """The preview inside EXIF has its own end marker; a picture cut after it is still cut."""
    thumbnail = saved(picture(8, 6), "JPEG")
    data = saved(picture(200, 200), "JPEG", exif=b"Exif\0\0" + thumbnail)
    assert "is damaged" in refusal(data[: int(len(data) * 0.7)], "jpg")


def test_of_several_pictures_the_first_is_taken_and_said(picture, saved, opened):
    second = Image.new("RGB", (20, 20), "red")
    data = saved(picture(), "MPO", save_all=True, append_images=[second])
    art = opened(data, "jpg")
    assert [(finding.code, finding.level) for finding in art.findings] == [("several-pictures", Level.WARN)]
    assert data.startswith(art.content.stream.data)
    assert Image.open(io.BytesIO(art.content.stream.data)).size == (40, 30)
