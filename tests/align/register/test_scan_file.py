"""Scans from disk: whatever the bytes are, they open within limits or are refused in one plain line."""

import random
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from watcher.align.register.scan_file import ScanRefused, open_scan


def saved(path: Path, mode: str = "L", **more: object) -> Path:
    ramp = np.tile(np.linspace(0, 255, 64, dtype=np.uint8), (48, 1))
    Image.fromarray(ramp).convert(mode).save(path, **more)
    return path


def what_is_said_of(path: Path) -> str:
    try:
        open_scan(path)
    except ScanRefused as refused:
        return str(refused)
    return ""


@pytest.mark.parametrize("ending", ["png", "jpg", "tif", "webp"])
@pytest.mark.parametrize("mode", ["L", "RGB"])
def test_a_scan_is_opened_as_grey(tmp_path, ending, mode):
    scan = open_scan(saved(tmp_path / f"scan.{ending}", mode))
    assert scan.grey.shape == (48, 64)
    assert scan.grey.dtype == np.uint8
    assert scan.grey[:, 0].mean() < 12
    assert scan.grey[:, -1].mean() > 243


@pytest.mark.parametrize("mode", ["1", "P", "RGBA", "LA"])
def test_other_kinds_of_colour_are_opened_too(tmp_path, mode):
    assert open_scan(saved(tmp_path / "scan.png", mode)).grey.shape == (48, 64)


def test_sixteen_bits_are_not_clipped_to_white(tmp_path):
    """Library-notes 3: Pillow's own conversion would."""
    Image.fromarray(np.array([[0, 30000, 65535]], dtype=np.uint16)).save(tmp_path / "deep.png")
    assert open_scan(tmp_path / "deep.png").grey.tolist() == [[0, 117, 255]]


@pytest.mark.parametrize(
    ("said", "taken"), [((300, 300), 300), ((600, 600), 600), ((1, 1), None), ((9999, 9999), None)]
)
def test_a_resolution_that_can_be_is_taken(tmp_path, said, taken):
    ppi = open_scan(saved(tmp_path / "scan.png", dpi=said)).ppi
    assert ppi == (pytest.approx(taken, rel=0.005) if taken else None)  # pHYs counts per metre: 299.9994


def test_a_file_without_a_resolution_says_none(tmp_path):
    assert open_scan(saved(tmp_path / "scan.png")).ppi is None


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("nothing.png", None, "cannot be read"),
        ("page.pdf", b"%PDF-1.6 ...", "no picture that can be read"),
        ("empty.png", b"", "no picture"),
        ("cut.png", b"\x89PNG\r\n\x1a\n" + b"\0" * 40, "damaged"),
        ("cut.jpg", b"\xff\xd8\xff\xe0" + b"\0" * 40, "damaged"),
    ],
)
def test_what_is_no_scan_is_refused_with_the_way_out(tmp_path, name, data, words):
    if data is not None:
        (tmp_path / name).write_bytes(data)
    with pytest.raises(ScanRefused, match=words) as refused:
        open_scan(tmp_path / name)
    assert str(refused.value).startswith(name)
    assert "\n" not in str(refused.value)


def test_a_small_file_of_a_huge_picture_is_not_unpacked(tmp_path):
    path = tmp_path / "bomb.png"
    Image.new("1", (40_000, 8_000)).save(path)
    with pytest.raises(ScanRefused, match="million pixels"):
        open_scan(path)


def test_spoilt_files_open_or_are_refused_and_nothing_else(tmp_path):
    chance = random.Random(20260911)
    for ending in ("png", "jpg", "tif", "webp"):
        good = saved(tmp_path / f"good.{ending}", "RGB").read_bytes()
        for number in range(25):
            spoilt = bytearray(good)
            for _ in range(chance.randint(1, 5)):
                spoilt[chance.randrange(len(spoilt))] = chance.randrange(256)
            path = tmp_path / f"{number}.{ending}"
            path.write_bytes(spoilt[: chance.randint(len(spoilt) // 2, len(spoilt))])
            said = what_is_said_of(path)
            assert said == "" or said.startswith(path.name)
            assert "\n" not in said


def test_a_name_cannot_forge_a_line(tmp_path):
    path = tmp_path / "a\nb\u202e.png"
    path.write_bytes(b"no picture")
    with pytest.raises(ScanRefused) as refused:
        open_scan(path)
    assert "\n" not in str(refused.value)
    assert "\u202e" not in str(refused.value)
