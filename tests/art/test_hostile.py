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


def test_a_small_png_that_unpacks_to_much_is_not_unpacked(png_of, opened):
    """More rows than the header announces are not looked at: memory stays with what the header says."""
    packer = zlib.compressobj(9)
    bomb = b"".join(packer.compress(b"\0" * 10_000_000) for _ in range(5)) + packer.flush()
    spliced = png_of(10, 10, 8, 0, b"", raw=bomb)
    tracemalloc.start()
    opened(spliced)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 5_000_000


def test_a_profile_that_unpacks_to_much_is_left_behind(png_of, opened):
    packer = zlib.compressobj(9)
    bomb = b"".join(packer.compress(b"\0" * 10_000_000) for _ in range(5)) + packer.flush()
    art = opened(png_of(10, 10, 8, 0, b"\0" * 110, extra=[(b"iCCP", b"x\0\0" + bomb)]))
    assert art.content.stream.icc is None
