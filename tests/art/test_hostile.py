"""Files from anywhere: whatever the bytes are, they open as art or are refused in one plain line."""

import random
import tracemalloc
import zlib

import pytest

from watcher.errors import ArtUnreadable

TRIES = 60


def spoilt(data: bytes, chance: random.Random) -> bytes:
    """The bytes with a few of them changed, some cut out, or some doubled."""
    changed = bytearray(data)
    for _ in range(chance.randint(1, 6)):
        changed[chance.randrange(len(changed))] = chance.randrange(256)
    start = chance.randrange(len(changed))
    piece = changed[start : start + chance.randint(0, 40)]
    if chance.random() < 0.3:
        del changed[start : start + len(piece)]
    elif chance.random() < 0.3:
        changed[start:start] = piece
    return bytes(changed)


@pytest.fixture
def samples(picture, saved, pdf_of):
    return {
        "png": saved(picture()),
        "rgba.png": saved(picture(mode="RGBA")),
        "jpg": saved(
            picture(), "JPEG", exif=b"Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0"
        ),
        "tif": saved(picture(), "TIFF", compression="tiff_lzw"),
        "webp": saved(picture(), "WEBP"),
        "pdf": pdf_of(pages=1, Rotate=90),
    }


@pytest.mark.parametrize("name", ["png", "rgba.png", "jpg", "tif", "webp", "pdf"])
def test_spoilt_files_open_or_are_refused_and_nothing_else(samples, opened, name):
    chance = random.Random(20260304)
    for _ in range(TRIES):
        try:
            art = opened(spoilt(samples[name], chance), name.rpartition(".")[2])
        except ArtUnreadable as refused:
            said = str(refused)
        else:
            said = f"{art.file}: {art.extent}"
            assert min(art.extent.width, art.extent.height) > 0
        assert said.startswith("x.png")
        assert "\n" not in said


def test_a_small_png_that_unpacks_to_much_is_refused_and_not_unpacked(png_of, refusal):
    """More rows than the header announces are not looked at: memory stays with what the header says.

    Passed on as they are, they would unpack in the printer.
    """
    packer = zlib.compressobj(9)
    bomb = b"".join(packer.compress(b"\0" * 10_000_000) for _ in range(5)) + packer.flush()
    spliced = png_of(10, 10, 8, 0, b"", raw=bomb)
    tracemalloc.start()
    assert "unpacks to more than the 10 x 10 px that it announces" in refusal(spliced, "png")
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 5_000_000


def test_so_are_rows_in_which_a_colour_is_see_through(png_of, refusal):
    rows = zlib.compress(b"\0" * 110 + b"\0" * 10_000_000)
    spliced = png_of(10, 10, 8, 0, b"", raw=rows, extra=[(b"tRNS", b"\0\x07")])
    assert "unpacks to more than the 10 x 10 px that it announces" in refusal(spliced, "png")


def test_texts_that_unpack_to_much_are_not_unpacked(png_of, opened):
    """A picture with alpha goes through another reader, which refuses a file for its texts alone."""
    text = b"note\0\0" + zlib.compress(b" " * 10_000_000)
    assert opened(png_of(10, 10, 8, 6, (b"\0" + b"\x40" * 40) * 10, extra=[(b"zTXt", text)])).width_px == 10


@pytest.mark.parametrize(("bits", "colour"), [(3, 2), (255, 2), (16, 3), (1, 2), (5, 0)])
def test_depths_that_no_png_has_are_refused(png_of, refusal, bits, colour):
    """Source: ISO/IEC 15948 table 11.1."""
    palette = [(b"PLTE", b"abc")] if colour == 3 else []
    stride = (10 * bits * (3 if colour == 2 else 1) + 7) // 8
    assert "is damaged" in refusal(png_of(10, 10, bits, colour, bytes(1 + stride) * 10, extra=palette), "png")


def test_a_profile_that_unpacks_to_much_is_left_behind(png_of, opened):
    packer = zlib.compressobj(9)
    bomb = b"".join(packer.compress(b"\0" * 10_000_000) for _ in range(5)) + packer.flush()
    art = opened(png_of(10, 10, 8, 0, b"\0" * 110, extra=[(b"iCCP", b"x\0\0" + bomb)]))
    assert art.content.stream.icc is None
