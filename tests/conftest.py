"""What tests share: drawn cards, print folders in a temporary place, and a worker that needs no process."""

import errno
import gc
import io
import os
import sqlite3
import struct
import sys
from collections.abc import Callable, Iterator
from functools import cache, lru_cache, partial
from pathlib import Path
from typing import Any

import hypothesis
import numpy as np
import pytest
from loguru._better_exceptions import ExceptionFormatter
from PIL import Image, ImageDraw

from tests.a_shop import OFFICE, TAG
from tests.long_form import LONG
from watcher.commands.at_work import service_for
from watcher.service.loop import Service
from watcher.settings.load import load_settings
from watcher.settings.trusted import keep_yes
from watcher.work.answer import Answer
from watcher.work.worker_process import work_on

# Each program that a test starts would compile all its modules anew where a machine asks for no files of bytecode.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# A busy machine makes no test fail, and what a single test does not set is short here.
hypothesis.settings.register_profile("ours", deadline=None, max_examples=1000 if LONG else 15)
hypothesis.settings.load_profile("ours")

SETTINGS = (
    """
[service]
quiet = "0 s"
events = "polling"
[cards.invitation]
trim = "5 x 7 in"
bleed = "0.125 in"
sheet = "letter"
overs = "1 sheet"
warn_ppi = 60
hold_ppi = 40
"""
    + TAG
    + OFFICE
)
# 5 x 7 in with 1/8 in bleed and 85 x 55 mm with 3 mm bleed at about 72 ppi: small, so that tests are quick
INVITATION_PX = (378, 522)
TAG_PX = (258, 173)


def pytest_collection() -> None:
    """All that is collected is kept: to look for garbage in it takes a fifth of the time."""
    gc.disable()


def pytest_collection_finish() -> None:
    """What was collected stays to the end: no round of garbage collection need look at it again."""
    gc.collect()
    gc.freeze()
    gc.enable()


@pytest.fixture(autouse=True, scope="session")
def own_configuration(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The person's configuration folder is one of the tests' own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("configuration")))
        yield


@pytest.fixture(autouse=True, scope="session")
def paths_known() -> Iterator[None]:
    """Where Python's libraries lie is worked out once: loguru asks for it again with each log that is opened."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ExceptionFormatter, "_get_lib_dirs", staticmethod(cache(ExceptionFormatter._get_lib_dirs)))
        yield


_UMASK = os.umask(0o022)
os.umask(_UMASK)


@pytest.fixture(autouse=True)
def own_umask() -> Iterator[None]:
    """Which rights new files get is for each test as it was at first, whatever a command set for this process."""
    os.umask(_UMASK)
    yield
    os.umask(_UMASK)


@pytest.fixture
def say_yes() -> Callable[[Path], None]:
    """Say yes to all that the settings of a print folder want a yes to."""
    return lambda folder: keep_yes(load_settings(folder / "settings.toml"))


class InlineWorker:
    """Does a worker's work in the test's own process, at once; fulfils `watcher.work.contract.Worker`."""

    pipe = None
    deadline = 0.0

    def __init__(self) -> None:
        self.task: object | None = None
        self._answer: Answer | None = None

    @property
    def is_idle(self) -> bool:
        return self.task is None

    def start(self, task: object, message: object) -> None:
        self.task = task
        self._answer = work_on(message)

    def answer(self) -> Answer | None:
        answer, self._answer, self.task = self._answer, None, None
        return answer

    def stop(self) -> None:
        self.task = None


@pytest.fixture
def draw_card() -> Callable[..., Path]:
    """Draw art that is neither symmetric nor blank and save it; the ending decides the format."""

    def draw(path: Path, size: tuple[int, int] = INVITATION_PX, colour: str = "#d8e4ee", word: str = "A") -> Path:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(_drawn_card(path.suffix.lower(), size, colour, word))
        return path

    return draw


@lru_cache(maxsize=64)
def _drawn_card(ending: str, size: tuple[int, int], colour: str, word: str) -> bytes:
    """The art of `draw_card`; many tests draw the same."""
    image = Image.new("RGB", size, colour)
    pen = ImageDraw.Draw(image)
    pen.rectangle([size[0] // 5, size[1] // 5, size[0] // 2, size[1] // 3], fill="#202860")
    pen.text((size[0] // 3, size[1] // 2), word, fill="black")
    file = io.BytesIO()
    image.save(file, Image.registered_extensions()[ending])
    return file.getvalue()


@pytest.fixture
def drop_pair(draw_card: Callable[..., Path]) -> Callable[..., None]:
    """Drop a front and a back into a folder."""

    def drop(folder: Path, name: str = "lantern", **drawing: Any) -> None:
        draw_card(folder / f"{name}_front.png", word="F", **drawing)
        draw_card(folder / f"{name}_back.png", word="B", **{"colour": "#eee4d8", **drawing})

    return drop


@pytest.fixture
def print_folder(tmp_path: Path) -> Path:
    """A print folder with the settings above and nothing in it."""
    folder = tmp_path / "shop"
    (folder / "inbox").mkdir(parents=True)
    (folder / "settings.toml").write_text(SETTINGS)
    return folder


@pytest.fixture
def tags_may_share(print_folder: Path) -> Path:
    """The print folder, with tags of different orders on one sheet where that saves paper."""
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace('size = "A4"', 'size = "A4"\ngang = true'))
    return print_folder


class _Unflushed(sqlite3.Connection):
    """A database that is flushed when the system likes. Source: sqlite.org/pragma.html#pragma_synchronous."""

    def __init__(self, *where: Any, **how: Any) -> None:
        super().__init__(*where, **how)
        self.execute("PRAGMA synchronous")

    def execute(self, words: str, *values: Any) -> sqlite3.Cursor:
        return super().execute("PRAGMA synchronous = OFF" if words.startswith("PRAGMA synchronous") else words, *values)


@pytest.fixture
def nothing_flushed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Flush nothing to the disk, for no power is cut; a killed process loses nothing that it has written."""
    monkeypatch.setattr(os, "fsync", lambda _handle: None)
    monkeypatch.setattr(sqlite3, "connect", partial(sqlite3.connect, factory=_Unflushed))


@pytest.fixture
def inline_workers(monkeypatch: pytest.MonkeyPatch, nothing_flushed: None) -> None:
    """Make everything in the test's own process, and flush nothing to the disk."""
    monkeypatch.setattr("watcher.work.workers.LocalWorker", InlineWorker)
    monkeypatch.setattr("watcher.commands.check_report.LocalWorker", InlineWorker)


@pytest.fixture
def once(inline_workers: None) -> Callable[[Path], Service]:
    """Run `once` on a print folder with inline workers; gives the service that did it, stopped."""

    def run(folder: Path) -> Service:
        service = service_for(load_settings(folder / "settings.toml"), once=True, to_screen=False)
        service.start()
        service.run()
        return service

    return run


@pytest.fixture
def names_in() -> Callable[[Path], list[str]]:
    """Everything below a folder but the state, as sorted paths."""

    def listing(folder: Path) -> list[str]:
        return sorted(
            str(path.relative_to(folder))
            for path in folder.rglob("*")
            if path.is_file() and "state" not in path.relative_to(folder).parts
        )

    return listing


# -- the colour profile of a press -------------------------------------------------------------------------------------


def _lab_of(rgb: "np.ndarray[Any, Any]") -> "np.ndarray[Any, Any]":
    """Lab (D50) of linear-light sRGB. Source: IEC 61966-2-1's primaries adapted to D50 by Bradford; CIE 15 (Lab)."""
    to_xyz = np.array([[0.4361, 0.3851, 0.1431], [0.2225, 0.7169, 0.0606], [0.0139, 0.0971, 0.7142]])
    xyz = rgb @ to_xyz.T / np.array([0.9642, 1.0, 0.8249])
    f = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.stack([116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])], -1)


def _rgb_of(lab: "np.ndarray[Any, Any]") -> "np.ndarray[Any, Any]":
    f = (lab[:, :1] + 16) / 116 + np.stack([lab[:, 1] / 500, 0 * lab[:, 0], -lab[:, 2] / 200], -1)
    xyz = np.where(f > 6 / 29, f**3, (f - 4 / 29) * 3 * (6 / 29) ** 2) * np.array([0.9642, 1.0, 0.8249])
    to_rgb = np.linalg.inv([[0.4361, 0.3851, 0.1431], [0.2225, 0.7169, 0.0606], [0.0139, 0.0971, 0.7142]])
    return np.clip(xyz @ to_rgb.T, 0, 1)


def _table(inputs: int, outputs: int, points: int, values: "np.ndarray[Any, Any]") -> bytes:
    """A tag of type lut8. Source: ICC.1:2010 10.9."""
    one = struct.pack(">9i", *(65536 if number % 4 == 0 else 0 for number in range(9)))
    ramp = bytes(range(256))
    head = b"mft1" + bytes(4) + bytes([inputs, outputs, points, 0]) + one
    return head + ramp * inputs + np.clip(np.round(values), 0, 255).astype(np.uint8).tobytes() + ramp * outputs


def _grid(sides: int, points: int) -> "np.ndarray[Any, Any]":
    axes = np.meshgrid(*[np.linspace(0, 1, points)] * sides, indexing="ij")
    return np.stack(axes, -1).reshape(-1, sides)


def _ink_profile() -> bytes:
    """A made-up press: each ink takes its third of the light away, black takes over most of what is grey.

    Source of the form: ICC.1:2010 7.2 (header), 7.3 (tags), 10.9 (lut8); version 2.1. The inks are our own.
    """
    inks = _grid(4, 5)
    lab = _lab_of((1 - inks[:, :3] * 0.97) * (1 - inks[:, 3:] * 0.95))
    to_lab = np.stack([lab[:, 0] * 2.55, lab[:, 1] + 128, lab[:, 2] + 128], -1)
    codes = _grid(3, 17) * 255
    rgb = _rgb_of(np.stack([codes[:, 0] / 2.55, codes[:, 1] - 128, codes[:, 2] - 128], -1))
    black = 0.8 * (1 - rgb.max(axis=1, keepdims=True))
    to_inks = np.hstack([(1 - rgb / (1 - 0.95 * black)) / 0.97, black]) * 255
    a2b, b2a = _table(4, 3, 5, to_lab), _table(3, 4, 17, to_inks)
    name = b"Made-up press"
    tags = {
        b"desc": b"desc" + bytes(4) + struct.pack(">I", len(name) + 1) + name + bytes(1 + 78),
        b"cprt": b"text" + bytes(4) + b"No copyright" + bytes(1),
        b"wtpt": b"XYZ " + bytes(4) + struct.pack(">3i", 63190, 65536, 54061),
        b"A2B0": a2b, b"A2B1": a2b, b"B2A0": b2a, b"B2A1": b2a,
    }  # fmt: skip
    table, body = struct.pack(">I", len(tags)), b""
    for signature, data in tags.items():
        data += bytes(-len(data) % 4)
        table += signature + struct.pack(">II", 132 + 12 * len(tags) + len(body), len(data))
        body += data
    size = 128 + len(table) + len(body)
    white = struct.pack(">3i", 63190, 65536, 54061)  # D50
    head = struct.pack(">I4sI4s4s4s", size, bytes(4), 0x02100000, b"prtr", b"CMYK", b"Lab ") + bytes(12) + b"acsp"
    return head.ljust(68, b"\0") + white + bytes(48) + table + body


@pytest.fixture(scope="session")
def press_icc() -> bytes:
    """The colour profile of a press, of class output for CMYK: built here, so that no machine need have one."""
    return _ink_profile()


@pytest.fixture
def two_devices(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every folder lies on a device of its own: rename(2) between two of them gives EXDEV, within one it works."""
    rename = Path.rename

    def refuse(self: Path, target: Path) -> Path:
        if Path(target).parent != self.parent:
            raise OSError(errno.EXDEV, os.strerror(errno.EXDEV), str(self))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse)
