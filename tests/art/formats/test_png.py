import zlib

import numpy as np
import pytest
from PIL import Image

from watcher.art.formats import png
from watcher.terms import Turn


def idat_of(data: bytes) -> bytes:
    """The IDAT data of a PNG, found without our own code."""
    found, at = b"", 8
    while at < len(data):
        length = int.from_bytes(data[at : at + 4])
        if data[at + 4 : at + 8] == b"IDAT":
            found += data[at + 8 : at + 8 + length]
        at += 12 + length
    return found


@pytest.mark.parametrize(("mode", "colours", "bits"), [("RGB", 3, 8), ("L", 1, 8), ("1", 1, 1), ("I;16", 1, 16)])
def test_png_data_passes_through_as_it_is(picture, saved, opened, mode, colours, bits):
    data = saved(picture(mode=mode))
    stream = opened(data).content.stream
    assert stream.data == idat_of(data)
    assert (stream.colours, stream.bits, stream.predictor, stream.palette) == (colours, bits, 15, None)


def test_a_palette_goes_along_as_it_is(picture, saved, opened, pixels):
    image = picture().quantize(16)
    stream = opened(saved(image)).content.stream
    assert stream.data == idat_of(saved(image))
    assert np.array_equal(pixels(stream), np.asarray(image.convert("RGB")))


def test_data_in_many_chunks_is_joined(png_of, opened):
    rows = b"".join(b"\0" + bytes(range(30)) for _ in range(20))
    data = png_of(10, 20, 8, 2, rows, cuts=7)
    assert zlib.decompress(opened(data).content.stream.data) == rows


def test_sixteen_bits_of_colour_pass_through(png_of, opened):
    rows = b"".join(b"\0" + bytes((row * 60 + at) % 256 for at in range(60)) for row in range(5))
    stream = opened(png_of(10, 5, 16, 2, rows)).content.stream
    assert (stream.bits, zlib.decompress(stream.data)) == (16, rows)


def test_an_interlaced_png_keeps_every_pixel(png_of, opened, pixels):
    """Adam7 (ISO/IEC 15948 8.2) of a single pixel column: passes 1, 3, 5, 7 hold rows 0; 4; 2, 6; 1, 3, 5, 7."""
    values = [10, 20, 30, 40, 50, 60, 70, 80]
    order = [0, 4, 2, 6, 1, 3, 5, 7]
    data = png_of(1, 8, 8, 0, b"".join(bytes([0, values[row]]) for row in order), interlace=1)
    assert pixels(opened(data).content.stream)[:, 0].tolist() == values


def test_opaque_alpha_is_dropped_without_loss(picture, saved, opened, pixels):
    image = picture(mode="RGBA")
    art = opened(saved(image))
    assert np.array_equal(pixels(art.content.stream), np.asarray(image)[:, :, :3])
    assert art.findings == ()


def test_see_through_art_is_set_on_white_and_said(picture, saved, opened, pixels):
    """Against the plain formula: colour times alpha plus white times the rest, to the nearest whole number."""
    image = picture(mode="RGBA")
    image.putalpha(picture(mode="L"))
    art = opened(saved(image))
    values = np.asarray(image).astype(float)
    alpha = values[:, :, 3:] / 255
    expected = values[:, :, :3] * alpha + 255 * (1 - alpha)
    assert np.abs(pixels(art.content.stream) - expected).max() <= 0.51
    assert art.thumbnail.clear == pytest.approx(1 - alpha.mean())


def test_see_through_grey_stays_grey(saved, opened, pixels):
    image = Image.new("LA", (4, 4), (0, 0))
    stream = opened(saved(image)).content.stream
    assert stream.colours == 1
    assert (pixels(stream) == 255).all()


def test_hidden_colours_of_a_see_through_palette_do_not_show(saved, opened, pixels):
    image = Image.new("P", (4, 4), 1)
    image.putpalette([0, 0, 0, 200, 10, 10])
    art = opened(saved(image, transparency=1))
    assert (pixels(art.content.stream) == 255).all()


def test_a_see_through_colour_that_is_not_used_changes_nothing(saved, opened):
    data = saved(Image.new("RGB", (4, 4), (1, 2, 3)), transparency=(9, 9, 9))
    art = opened(data)
    assert art.content.stream.data == idat_of(data)
    assert art.findings == ()


def test_deep_grey_with_a_see_through_value_keeps_its_depth(png_of, opened, pixels):
    """Pillow alone clips these values to white (Pillow issue 3011)."""
    rows = b"\0" + b"".join(value.to_bytes(2) for value in (0, 300, 30000, 65535))
    art = opened(png_of(4, 1, 16, 0, rows, extra=[(b"tRNS", (300).to_bytes(2))]))
    assert pixels(art.content.stream).tolist() == [[0, 65535, 30000, 65535]]


def test_very_large_deep_colour_with_alpha_says_what_is_lost(png_of, opened, monkeypatch):
    monkeypatch.setattr("watcher.art.formats.png_deep.MOST_PIXELS", 0)
    rows = b"\0" + b"\x12\x34" * 4
    art = opened(png_of(1, 1, 16, 6, rows))
    assert "depth-reduced" in {finding.code for finding in art.findings}


def test_a_still_animation_of_one_frame_is_taken_and_a_moving_one_refused(picture, saved, opened, refusal):
    assert opened(saved(picture(), save_all=True)).width_px == 40
    moving = saved(picture(), save_all=True, append_images=[picture(mode="L").convert("RGB")])
    assert "2 moving pictures" in refusal(moving)


def test_a_png_named_jpg_is_fine(picture, saved, opened):
    assert opened(saved(picture()), kind="jpg").width_px == 40


@pytest.mark.parametrize(
    "rows", [b"\7" + b"\0" * 10, b"\0" * 10], ids=["a filter that does not exist", "a row cut short"]
)
def test_a_png_whose_rows_cannot_be_undone_is_refused(png_of, refusal, rows):
    assert "is damaged" in refusal(png_of(10, 2, 8, 0, b"\0" * 11 + rows))


@pytest.mark.parametrize("keep", [0.1, 0.5, 0.9, 0.999])
def test_a_png_cut_short_is_refused(picture, saved, refusal, keep):
    data = saved(picture(200, 200))
    assert "is damaged or not complete" in refusal(data[: int(len(data) * keep)])


def test_a_png_with_one_flipped_bit_is_refused(picture, saved, refusal):
    data = bytearray(saved(picture()))
    data[len(data) // 2] ^= 4
    assert "is damaged" in refusal(bytes(data))


def test_a_png_without_enough_rows_is_refused(png_of, refusal):
    """Every checksum is right; only unpacking shows it, and Pillow's decoder does not mind."""
    assert "is damaged" in refusal(png_of(10, 20, 8, 0, b"\0" * 11 * 3))


def test_a_png_is_taken_apart_without_copying_the_palette_beyond_its_bits(picture, saved):
    parts = png.take_apart(saved(picture().quantize(4), bits=2))
    assert len(png.as_stream(parts).palette) <= 3 * 2**2


def test_exif_orientation_of_a_png_is_kept_as_a_turn(picture, saved, opened):
    exif = Image.Exif()
    exif[0x0112] = 6
    art = opened(saved(picture(), exif=exif))
    assert (art.content.turn, art.width_px, art.height_px) == (Turn.RIGHT, 30, 40)


def test_what_passes_through_is_never_packed_again(picture, saved, opened, monkeypatch):
    monkeypatch.setattr("watcher.art.raster.pack", lambda *_: pytest.fail("was packed again"))
    opened(saved(picture()))
