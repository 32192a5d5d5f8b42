"""Pictures that lie, are cut, are bent, or unpack without end.

Forms: PNG (ISO/IEC 15948), JPEG (ITU-T T.81), TIFF 6.0, WebP (RFC 9649).
"""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from tests.long_form import LONG

TAG_PX = (258, 173)
TOO_LARGE = ("60,000 x 60,000 px", "the most")
DAMAGED = ("damaged or not complete",)
NOT_COMPLETE = ("is not complete",)


def picture(size=TAG_PX, mode="RGB"):
    """Pixels that look the same nowhere and do not pack well."""
    rows, columns = np.mgrid[0 : size[1], 0 : size[0]]
    noise = (columns * columns * 7 + rows * 131 + columns * rows * 3) % 251
    layers = [columns * 255 // size[0], rows * 255 // size[1], noise]
    return Image.fromarray(np.stack(layers, -1).astype(np.uint8)).convert(mode)


def saved(kind, image=None, **options):
    out = io.BytesIO()
    (image or picture()).save(out, kind, **options)
    return out.getvalue()


def chunk(kind, body):
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png(size=TAG_PX, rows=None, *, bits=8, colour=2, interlaced=0, extra=()):
    """A PNG chunk by chunk; `rows` is the unpacked pixel data."""
    rows = bytes((1 + size[0] * 3) * size[1]) if rows is None else rows
    head = struct.pack(">IIBBBBB", *size, bits, colour, 0, 0, interlaced)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + b"".join(chunk(*one) for one in extra)
        + chunk(b"IDAT", zlib.compress(rows, 9))
        + chunk(b"IEND", b"")
    )


def sized(kind, width, height):
    """A sound file whose header claims another size."""
    if kind == "PNG":
        return png((width, height), b"\0" * 1000)
    data = bytearray(saved(kind))
    if kind == "JPEG":
        at = data.index(b"\xff\xc0") + 5  # T.81 B.2.2
        data[at : at + 4] = struct.pack(">HH", height, width)
    else:
        for tag, value in ((256, width), (257, height)):  # TIFF 6.0 section 8: ImageWidth, ImageLength
            at = tiff_entry(data, tag)
            data[at + 2 : at + 12] = struct.pack("<HII", 4, 1, value)
    return bytes(data)


def tiff_entry(data, tag):
    (start,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, start)
    entries = range(start + 2, start + 2 + 12 * count, 12)
    return next(at for at in entries if struct.unpack_from("<H", data, at)[0] == tag)


def tiff_of(pages, *, ring=False):
    """Directories one after the other, each of one picture of 1 px; in a ring the last names the first."""
    tags = (
        (256, 3, 1, 1),
        (257, 3, 1, 1),
        (258, 3, 1, 8),
        (259, 3, 1, 1),
        (262, 3, 1, 1),
        (273, 4, 1, 8),
        (278, 3, 1, 1),
        (279, 4, 1, 1),
    )
    length = 2 + 12 * len(tags) + 4
    head = struct.pack("<2sHI", b"II", 42, 16) + bytes(8)
    body = struct.pack("<H", len(tags)) + b"".join(struct.pack("<HHII", *tag) for tag in tags)
    follows = [16 + length * (number + 1) for number in range(pages)]
    follows[-1] = 16 if ring else 0
    return head + b"".join(body + struct.pack("<I", follow) for follow in follows)


def wide_webp(width, height):
    """The extended form (VP8X), whose canvas may be 2**24 px a side, around an ordinary picture. RFC 9649 2.7."""
    inner = saved("WEBP")[12:]
    canvas = (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
    body = b"WEBP" + b"VP8X" + struct.pack("<I", 10) + bytes(4) + canvas + inner
    return b"RIFF" + struct.pack("<I", len(body)) + body


def packed_zeros(count):
    """So many zeros as zlib packs them (RFC 1950, 1951): a block of a megabyte again and again, and the check sum."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    block = packer.compress(bytes(1 << 20)) + packer.flush(zlib.Z_FULL_FLUSH)
    last = zlib.compressobj(9, zlib.DEFLATED, -15)
    end = last.compress(bytes(count % (1 << 20))) + last.flush()
    return b"\x78\xda" + block * (count >> 20) + end + struct.pack(">I", count % 65521 << 16 | 1)


def bent(data, seed, start=40):
    """The file with one bit in a hundred bytes turned over, its first bytes spared."""
    damaged = bytearray(data)
    for at in np.random.default_rng(seed).integers(start, len(data) - 20, max(3, len(data) // 100)):
        damaged[at] ^= 1 << int(at) % 8
    return bytes(damaged)


def _headers():
    line_art = b"".join((png((60_000, 60_000), b"", bits=1, colour=0)[:33], whole(60_000 * 7501), END))
    return {
        "huge-png.png": (sized("PNG", 60_000, 60_000), TOO_LARGE),
        "huge-jpeg.jpg": (sized("JPEG", 60_000, 60_000), TOO_LARGE),
        "huge-tiff.tif": (sized("TIFF", 60_000, 60_000), TOO_LARGE),
        "huge-webp.webp": (wide_webp(60_000, 60_000), TOO_LARGE),
        "line-art.png": (line_art, TOO_LARGE),
        "wide.png": (sized("PNG", 2**31 - 1, 2), ("2,147,483,647 x 2 px", "the most")),
        "no-width.png": (sized("PNG", 0, 90), DAMAGED),
        "many-pages.tif": (tiff_of(200_000), ("pages", "500")),
        "pixels.png": (b"".join((png()[:33], whole(1 << 30), END)), ("unpacks to more than the 258 x 173 px",)),
        "checksum.png": (b"".join((png((30_000, 3_333), b"")[:33], whole(1 << 30)[:-4], bytes(4), END)), DAMAGED),
    }


def _damage():
    cases = {}
    for kind, ending in (("PNG", "png"), ("JPEG", "jpg"), ("TIFF", "tif"), ("WEBP", "webp")):
        data = saved(kind, **({"compression": "tiff_lzw"} if kind == "TIFF" else {}))
        half = len(data) // 2
        cases[f"half.{ending}"] = (data[:half], NOT_COMPLETE)
        cases[f"less3.{ending}"] = (data[:-3], NOT_COMPLETE)
        cases[f"zeros.{ending}"] = (data[:half] + bytes(len(data) - half), NOT_COMPLETE)
    jpeg = saved("JPEG", picture((516, 346)), quality=90)
    half = len(jpeg) // 2
    return cases | {
        "hole.jpg": (jpeg[:half] + bytes(len(jpeg) - half - 2) + jpeg[-2:], ("never filled in",)),
        "hole4k.jpg": (jpeg[:half] + bytes(4096) + jpeg[half + 4096 :], ("never filled in",)),
        "empty.png": (bytes(5000), NOT_COMPLETE),
        "nothing.png": (b"", NOT_COMPLETE),
        "text.png": (b"hello, this is no picture", ("not a picture",)),
        "program.jpg": (b"MZ\x90\0" + b"\x90" * 500, ("not a picture",)),
        "bent.png": (bent(saved("PNG"), 1), ("damaged",)),
    }


def whole(count):
    """An IDAT chunk of so many zeros."""
    return chunk(b"IDAT", packed_zeros(count))


END = chunk(b"IEND", b"")
CASES = {**_headers(), **_damage()}


@pytest.fixture(scope="module")
def outcome(run_over, bad):
    return run_over(bad(name=name, data=data) for name, (data, _) in CASES.items())


@pytest.mark.parametrize("name", CASES)
def test_it_is_held_with_its_true_reason(outcome, bad, name):
    data, words = CASES[name]
    assert outcome.shop.wrong_with(bad(name=name, data=data), words) is None


def test_everything_else_is_unharmed(outcome):
    outcome.assert_promises()


@pytest.fixture(scope="module")
def printable(run_over, bad):
    """Pictures that may well be printed: with bombs beside the pixels, and with turned bits."""
    packed = packed_zeros(1 << 30)
    text, profile = (b"zTXt", b"note\0\0" + packed), (b"iCCP", b"press\0\0" + packed)
    cases = {
        "plain.png": png(extra=[text, profile]),
        "woven-text.png": png(rows=woven(), interlaced=1, extra=[text]),
        "woven-profile.png": png(rows=woven(), interlaced=1, extra=[profile]),
    }
    for kind, ending in (("JPEG", "jpg"), ("TIFF", "tif"), ("WEBP", "webp")):
        data = saved(kind, **({"compression": "tiff_lzw"} if kind == "TIFF" else {}))
        cases |= {f"{kind}{seed}.{ending}": bent(data, seed) for seed in range(40 if LONG else 2)}
    return run_over(bad(name=name, data=data) for name, data in cases.items())


def test_bombs_beside_the_pixels_do_no_harm(printable):
    """Texts and profiles that unpack to a gigabyte are never unpacked; the picture itself is sound, and is made."""
    assert printable.ran.peak < 300e6
    assert {"plain", "woven-text", "woven-profile"} <= printable.shop.made()


def test_turned_bits_are_held_or_printed_but_never_break_anything(printable):
    """Turned bits inside compressed pixels may still spell a picture; nothing can tell then that it is another one."""
    assert printable.ran.err == ""
    assert "lantern" in printable.shop.made()
    reasons = " ".join(path.read_text() for path in printable.shop.folder.rglob("why.txt"))
    assert "cannot be opened safely" not in reasons
    printable.shop.assert_nothing_lost()
    printable.shop.assert_no_temporaries()


def woven():
    """Rows of the interlaced form, all black: seven passes. ISO/IEC 15948 8.2."""
    passes = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
    width, height = TAG_PX
    sizes = ((-(-(width - x) // dx), -(-(height - y) // dy)) for x, y, dx, dy in passes)
    return b"".join(bytes(1 + 3 * across) * down for across, down in sizes)
