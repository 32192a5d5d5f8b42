"""Whatever the bytes and names are: the doors open them, or refuse them with our own error in one plain line.

Short by default; `PRINT_FOLDER_LONG=1` tries a hundred times as much, and with atheris, where it is installed, by the
branches that the bytes reach.
"""

import io
import time
import zipfile
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfWriter

from tests.long_form import LONG
from watcher.art.decode import open_art
from watcher.errors import ArtUnreadable
from watcher.inbox.complete import Completeness, how_complete
from watcher.inbox.inspection import inspect_file, read_member
from watcher.inbox.scan import Identity, Scan, SeenFile
from watcher.inbox.settle import Rested
from watcher.inbox.tidy import MOST_BYTES, tidy_order_name
from watcher.orders.gather import gather
from watcher.orders.gathered import ToGather
from watcher.orders.pairing import pair_sides
from watcher.settings.load import load_settings
from watcher.terms import Side

SLOWEST_S = 5.0  # processor time for one small file; most take milliseconds
fuzz = settings(
    max_examples=10_000 if LONG else 40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@cache
def sample(kind: str) -> bytes:
    """A small sound file of each kind."""
    out = io.BytesIO()
    rows, columns = np.mgrid[0:30, 0:40]
    picture = Image.fromarray(np.stack([columns * 6, rows * 8, rows * columns % 251], -1).astype(np.uint8))
    if kind == "pdf":
        writer = PdfWriter()
        writer.add_blank_page(257.95, 172.91)
        writer.write(out)
    elif kind == "zip":
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            for name in ("a_front.png", "a_back.png"):
                archive.writestr(name, sample("png"))
            archive.writestr("a.toml", b"quantity = 5")
    else:
        saving = {
            "png": ("PNG", {}),
            "jpg": ("JPEG", {}),
            "tif": ("TIFF", {"compression": "tiff_lzw"}),
            "webp": ("WEBP", {}),
        }
        picture.save(out, saving[kind][0], **saving[kind][1])
    return out.getvalue()


@st.composite
def spoilt(draw, kinds):
    """A kind, and a sound file of it with bytes changed, cut out, put in or doubled."""
    kind = draw(st.sampled_from(kinds))
    data = bytearray(sample(kind))
    for _ in range(draw(st.integers(0, 8))):
        at = draw(st.integers(0, len(data) - 1))
        data[at] = draw(st.sampled_from([0, 1, 0x7F, 0x80, 0xFF]) | st.integers(0, 255))
    if draw(st.booleans()):
        at = draw(st.integers(0, len(data)))
        cut = draw(st.integers(0, 40))
        data[at : at + cut] = draw(st.binary(max_size=12) | st.just(bytes(data[:200])))
    return kind, bytes(data[: draw(st.integers(0, len(data)) | st.just(len(data)))])


def in_time(begun: float) -> bool:
    return time.process_time() - begun < SLOWEST_S


def opens_or_refuses(kind: str, data: bytes) -> str:
    """What the door says of the file, or that it was opened."""
    try:
        art = open_art(Side.FRONT, f"x.{kind}", "0" * 64, data, kind)
    except ArtUnreadable as refused:
        return str(refused)
    assert min(art.extent.width, art.extent.height) > 0
    return f"x.{kind} opened"


@fuzz
@given(spoilt(["png", "jpg", "tif", "webp", "pdf"]))
def test_art_opens_or_is_refused(case):
    begun = time.process_time()
    said = opens_or_refuses(*case)
    assert said.startswith("x.")
    assert "\n" not in said
    assert in_time(begun)


@fuzz
@given(spoilt(["zip", "pdf", "tif"]))
@example(("zip", b"PK\5\6" + bytes(18)))
def test_insides_are_seen_or_refused(tmp_path, case):
    kind, data = case
    path = tmp_path / f"x.{kind}"
    path.write_bytes(data)
    begun = time.process_time()
    try:
        inside = inspect_file(path)
        said = [read_member(path, member.stored_as)[:1] and "x." for member in inside.members]
    except ArtUnreadable as refused:
        said = [str(refused)]
    assert all(one.startswith("x.") and "\n" not in one for one in said)
    assert in_time(begun)


@fuzz
@given(spoilt(["png", "jpg", "tif", "webp", "pdf", "zip"]))
def test_every_file_is_whole_or_growing(tmp_path, case):
    kind, data = case
    path = tmp_path / f"x.{kind}"
    path.write_bytes(data)
    begun = time.process_time()
    assert how_complete(path) in Completeness
    assert in_time(begun)


PARTS = st.sampled_from(
    [
        "a",
        "A",
        "front",
        "back",
        "_",
        "-",
        ".",
        " ",
        "x50",
        "x0",
        "@2x",
        " (1)",
        "1",
        "\n",
        "\u202e",
        "\udcff",
        "é",
        "e\u0301",
    ]
)
NAMES = st.lists(PARTS, min_size=1, max_size=8).map("".join) | st.text(min_size=1, max_size=20)
ENDINGS = st.sampled_from([".png", ".PDF", ".zip", ".toml", ".tif", ".exe", "", "."])


@fuzz
@given(st.lists(st.tuples(NAMES, ENDINGS).map("".join), min_size=1, max_size=8, unique=True))
def test_any_names_are_gathered_and_paired(print_folder, names):
    """What lies there becomes orders, faults or waiting things, each file in one at least; nothing breaks."""
    known = load_settings(print_folder / "settings.toml")
    files = tuple(seen(print_folder, name, number) for number, name in enumerate(names))
    gathered = gather(
        ToGather(
            scan=Scan(files=files),
            rested=Rested(ready=files),
            words=known.names,
            give_up_s=known.service.give_up,
        )
    )
    plans = [
        *pair_sides(gathered.table, known, lambda found: found.file.name.encode("utf-8", "replace")),
        *gathered.unusable,
    ]
    looked_for = [*gathered.to_look, *(file for plan in plans for file in plan.files)]
    assert {file.name for file in looked_for} == set(names)
    for plan in plans:
        folder = tidy_order_name(plan.name)
        assert 0 < len(folder.encode()) <= MOST_BYTES
        assert tidy_order_name(folder) == folder


def seen(folder: Path, name: str, number: int) -> SeenFile:
    identity = Identity(device=1, inode=number, size=10, mtime_ns=0, ctime_ns=0)
    return SeenFile(path=folder / "inbox" / str(number), folder=None, name=name, identity=identity)


@pytest.mark.skipif(not LONG, reason="long: set PRINT_FOLDER_LONG=1")
@pytest.mark.timeout(0)
def test_art_opens_or_is_refused_along_every_branch():
    """A hundred thousand files found by the branches that they reach; in a process of its own, which it ends."""
    pytest.importorskip("atheris", reason="atheris is not installed")
    import subprocess
    import sys

    script = Path(__file__).with_name("atheris_target.py")
    done = subprocess.run(
        [sys.executable, str(script), "-runs=100000", "-max_len=4096", "-timeout=20", "-rss_limit_mb=2048"],
        capture_output=True,
        text=True,
        timeout=3600,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
