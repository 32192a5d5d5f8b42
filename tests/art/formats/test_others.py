import io
import struct

import numpy as np
import pytest
from PIL import Image

from watcher.art import raster
from watcher.art.formats import headers, webp
from watcher.inbox.formats import ART, say_formats
from watcher.terms import Turn


@pytest.mark.parametrize("mode", ["RGB", "L", "1", "P", "I;16"])
def test_tiff_pixels_are_kept_exactly(picture, saved, opened, pixels, mode):
    image = picture(mode=mode)
    stream = opened(saved(image, "TIFF"), "tif").content.stream
    expected = np.asarray(image.convert("RGB") if mode == "P" else image)
    assert np.array_equal(pixels(stream), expected)


def test_a_cmyk_tiff_keeps_its_inks(picture, saved, opened):
    import zlib

    image = picture(mode="CMYK")
    stream = opened(saved(image, "TIFF"), "tiff").content.stream
    rows = np.frombuffer(zlib.decompress(stream.data), np.uint8).reshape(30, 161)
    inks = np.cumsum(rows[:, 1:], axis=0, dtype=np.uint8).reshape(30, 40, 4)  # every row is less the one above it
    assert (stream.colours, stream.inverted) == (4, False)
    assert np.array_equal(inks, np.asarray(image))


def test_webp_pixels_are_kept_exactly(picture, saved, opened, pixels):
    data = saved(picture(), "WEBP", quality=80)
    stream = opened(data, "webp").content.stream
    assert np.array_equal(pixels(stream), np.asarray(Image.open(io.BytesIO(data))))


def test_a_turned_tiff_is_turned_once(picture, saved, opened, pixels):
    """Pillow turns a TIFF when it loads it (tried with Pillow 13); turning again would lay it on its head."""
    exif = Image.Exif()
    exif[0x0112] = 6
    art = opened(saved(picture(), "TIFF", exif=exif), "tif")
    assert (art.content.turn, art.width_px, art.height_px) == (Turn.NONE, 30, 40)
    assert np.array_equal(pixels(art.content.stream), np.rot90(np.asarray(picture()), -1))


def test_a_tiff_of_two_pages_is_refused_where_one_is_meant(picture, saved, refusal):
    data = saved(picture(), "TIFF", save_all=True, append_images=[picture()])
    assert "has 2 pages where one is wanted" in refusal(data, "tif")


def test_a_moving_webp_is_refused(picture, saved, refusal):
    data = saved(picture(), "WEBP", save_all=True, append_images=[picture(mode="L").convert("RGB")])
    assert "2 moving pictures" in refusal(data, "webp")


@pytest.mark.parametrize(("mode", "word"), [("F", "floating point"), ("LAB", "Lab"), ("I", "32 bits")])
def test_colours_that_no_printer_takes_are_refused_by_name(picture, saved, refusal, mode, word):
    image = Image.new("LAB", (4, 4)) if mode == "LAB" else picture(mode="L").convert(mode)
    assert word in refusal(saved(image, "TIFF"), "tif")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"GIF89a" + b"\0" * 50, "really a GIF picture"),
        (b"%PDF-1.7\n", "really a PDF"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n", "really a PostScript file"),
        (b"\0\0\0\x18ftypheic" + b"\0" * 20, "really a HEIC picture"),
        (b"hello, this is text", "not a picture at all"),
        (b"", "is empty"),
        (b"\0" * 4096, "is empty"),
    ],
)
def test_other_files_are_refused_by_what_they_really_are(refusal, data, words):
    assert words in refusal(data)


def test_an_unknown_kind_names_what_is_taken(refusal):
    assert f"{say_formats(ART, 'and')} are taken" in refusal(b"8BPS", "psd")


def test_a_picture_of_too_many_pixels_is_refused_before_it_is_decoded(png_of, refusal, monkeypatch):
    monkeypatch.setattr(raster, "load_picture", lambda *_: pytest.fail("was opened"))
    said = refusal(png_of(20_000, 20_000, 1, 0, b""))
    assert "20,000 x 20,000 px" in said
    assert "100 million pixels" in said


def test_a_picture_with_too_long_a_side_is_refused(png_of, refusal):
    assert "30,000 px a side" in refusal(png_of(30_001, 10, 1, 0, b""))


def test_a_huge_webp_is_refused_by_its_header(refusal):
    """VP8X canvas (RFC 9649 2.7.1): 24-bit width and height, each less one."""
    body = bytes(4) + (16_000 - 1).to_bytes(3, "little") + (16_000 - 1).to_bytes(3, "little")
    chunk = b"VP8X" + struct.pack("<I", len(body)) + body
    assert "16,000 x 16,000 px" in refusal(b"RIFF" + struct.pack("<I", 4 + len(chunk)) + b"WEBP" + chunk, "webp")


def test_a_huge_tiff_is_refused_by_its_header(saved, refusal, monkeypatch):
    monkeypatch.setattr("watcher.art.pixels.MOST_PIXELS", 1000)
    monkeypatch.setattr(headers, "MOST_PIXELS", 1000)
    assert "TIFF" not in refusal(saved(Image.new("L", (100, 100)), "TIFF"), "tif")


@pytest.mark.parametrize("options", [{"lossless": True}, {"quality": 50}, {"lossless": True, "exif": b"Exif\0\0x"}])
def test_the_size_in_a_webp_header_is_read_right(picture, saved, options):
    head = webp.read_head(saved(picture(123, 45), "WEBP", **options))
    assert (head.width_px, head.height_px) == (123, 45)


@pytest.mark.parametrize("format", ["TIFF", "WEBP"])
def test_other_pictures_cut_short_are_refused(picture, saved, refusal, format):
    data = saved(picture(200, 200), format)
    assert "is damaged" in refusal(data[: len(data) // 2], format.lower())


@pytest.mark.parametrize("name", ["int16", "int32"])
def test_numbers_with_a_sign_are_refused_by_name(saved, refusal, name):
    """As in Pillow's own 16bit.s.tif (SampleFormat 2, TIFF 6.0 section 19), which it reads as 32 bits."""
    data = tiff_of_signed(np.arange(16, dtype=f"<{name[0]}{int(name[3:]) // 8}").reshape(4, 4))
    assert f"{name[3:]} bits per colour with a sign" in refusal(data, "tif")


def tiff_of_signed(samples: np.ndarray) -> bytes:
    """A TIFF of grey numbers with a sign, put together by hand: Pillow writes none of 16 bits."""
    bits, (height, width) = samples.itemsize * 8, samples.shape
    tags = {
        256: width,
        257: height,
        258: bits,
        259: 1,
        262: 1,
        273: 0,
        277: 1,
        278: height,
        279: samples.nbytes,
        339: 2,
    }
    tags[273] = 8 + 2 + 12 * len(tags) + 4
    entries = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in sorted(tags.items()))
    return b"II*\0\x08\0\0\0" + struct.pack("<H", len(tags)) + entries + b"\0\0\0\0" + samples.tobytes()
