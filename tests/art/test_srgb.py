"""The profile that untagged art is tagged with: built once from published figures, then kept as a file."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms

from watcher.art.formats.profile import SRGB, fitting_profile, is_srgb

# IEC 61966-2-1: primaries red, green, blue and white D65, as x and y (the primaries are those of ITU-R BT.709)
PRIMARIES, WHITE = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06)), (0.3127, 0.3290)
# ICC.1:2001-04 (version 2.4) 6.1.1: the connection space's white, D50; annex E: the Bradford matrix
D50 = np.array([0.9642, 1.0, 0.8249])
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])

# pdfium knows sRGB at once, and draws twice as fast, by these two: a size of 3144 bytes and the name at byte 400
# (measured here; so it is with the oldest and most common sRGB profile). The rest is filled with zeros, which pack to
# nothing: so the curve has a point for each level of 8 bits, exactly, and no more.
SIZE, NAME_AT, LEVELS = 3144, 400, 256


def tristimulus(x, y):
    return np.array([x / y, 1, (1 - x - y) / y])


def number(value) -> bytes:
    return struct.pack(">i", round(value * 65536))


def triple(values) -> bytes:
    return b"XYZ \0\0\0\0" + b"".join(number(value) for value in values)


def built() -> bytes:
    """The profile, from those figures. Layout: ICC.1:2001-04 6.1 (header), 6.2 (tag table), 6.5 (tag types)."""
    columns = np.array([tristimulus(*primary) for primary in PRIMARIES]).T
    white = tristimulus(*WHITE)
    adapted = np.linalg.inv(BRADFORD) @ np.diag((BRADFORD @ D50) / (BRADFORD @ white)) @ BRADFORD
    red, green, blue = (adapted @ (columns * np.linalg.solve(columns, white))).T
    steps = np.arange(LEVELS) / (LEVELS - 1)
    light = np.where(steps <= 0.04045, steps / 12.92, ((steps + 0.055) / 1.055) ** 2.4)
    curve = b"curv\0\0\0\0" + struct.pack(">I", LEVELS) + np.round(light * 65535).astype(">u2").tobytes()
    name = b"sRGB IEC61966-2.1\0"
    parts = {
        b"cprt": b"text\0\0\0\0No copyright is claimed in this profile, so use it freely.\0",
        b"wtpt": triple(D50),
        b"rXYZ": triple(red),
        b"gXYZ": triple(green),
        b"bXYZ": triple(blue),
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", len(name)) + name + bytes(78),
        b"rTRC": curve,
    }
    table, body, first = [], b"", 128 + 4 + 12 * (len(parts) + 2)
    for tag, data in parts.items():
        table.append((tag, first + len(body), len(data)))
        body += data + bytes(-len(data) % 4)
    table += [(tag, *table[-1][1:]) for tag in (b"gTRC", b"bTRC")]
    tags = struct.pack(">I", len(table)) + b"".join(struct.pack(">4sII", *entry) for entry in table)
    head = struct.pack(">I4xI", SIZE, 0x02400000) + b"mntrRGB XYZ " + struct.pack(">6H", 2000, 1, 1, 0, 0, 0)
    head += b"acsp" + bytes(28) + b"".join(number(value) for value in D50)
    return head.ljust(128, b"\0") + tags + body.ljust(SIZE - first, b"\0")


def test_the_file_is_what_the_published_figures_give():
    assert built() == SRGB


@pytest.mark.parametrize("intent", range(4))
def test_it_means_the_same_as_littlecms_own_srgb(intent):
    """Every grey, and every fifth level of each colour, comes through unchanged."""
    levels = np.arange(0, 256, 5)
    greys = np.repeat(np.arange(256), 3).reshape(-1, 1, 3)
    cube = np.concatenate([greys, np.stack(np.meshgrid(levels, levels, levels), -1).reshape(-1, 1, 3)]).astype(np.uint8)
    ours = ImageCms.ImageCmsProfile(io.BytesIO(SRGB))
    change = ImageCms.buildTransform(ours, ImageCms.createProfile("sRGB"), "RGB", "RGB", intent)
    changed = np.asarray(ImageCms.applyTransform(Image.fromarray(cube), change)).astype(int)
    assert np.abs(changed - cube).max() == 0


def test_it_is_small_and_fits_rgb():
    assert len(SRGB) == SIZE
    assert SRGB[NAME_AT:].startswith(b"sRGB IEC61966-2.1\0")
    assert fitting_profile(SRGB, 3) == SRGB


def test_it_packs_to_less_than_a_kilobyte():
    assert len(zlib.compress(SRGB)) < 1000


def test_other_makers_srgb_is_known_as_srgb():
    assert is_srgb(SRGB)
    assert is_srgb(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())


def swapped(profile: bytes) -> bytes:
    """The profile with its red and its green exchanged: another colour space altogether."""
    return profile.replace(b"rXYZ", b"????").replace(b"gXYZ", b"rXYZ").replace(b"????", b"gXYZ")


def test_another_space_is_not():
    assert not is_srgb(swapped(SRGB))
