"""The hostile harness: drops bad things beside a good pair and runs the real command with its real, limited workers."""

import contextlib
import hashlib
import io
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from tests.a_shop import OFFICE, TAG
from watcher.commands.app import main

LIMIT_S = 100.0  # for one run of the command, whatever was dropped
MOST_BYTES = 1500 * 1024**2  # resident, of the service or any of its workers

SETTINGS = (
    """
[service]
quiet = "0 s"
give_up = "0 s"
wait_for_other_side = "0 s"
events = "polling"
workers = 1
[cards.invitation]
trim = "5 x 7 in"
bleed = "0.125 in"
sheet = "letter"
warn_ppi = 60
hold_ppi = 40
"""
    + TAG
    + OFFICE
)
# The memory of a child is counted from the moment it was split off, that of the test's own process included, so the
# command is started from a small process in between, which also waits for it.
_LAUNCH = """
import resource, subprocess, sys
code = subprocess.call(sys.argv[1:])
print("peak", resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
sys.exit(code)
"""
TAG_PX = (258, 173)  # 85 x 55 mm with 3 mm bleed at 72 ppi
PAIR_PX = (378, 522)  # 5 x 7 in with 1/8 in bleed at 72 ppi


@dataclass(frozen=True, kw_only=True)
class Bad:
    """Something that was dropped, and what became of it.

    Attributes:
        name: the file's name, inside the folder of the one-sided card; bytes for names that are no UTF-8.
        data: what it holds.
        also: further bytes dropped with it, by name (a job ticket's art).
    """

    name: str | bytes
    data: bytes
    also: Mapping[str, bytes] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Ran:
    """How a run ended: seconds, exit code, what it said, and the most memory that one of its processes had, bytes."""

    seconds: float
    code: int
    out: str
    err: str
    peak: int


@dataclass
class Shop:
    """A print folder to be abused."""

    folder: Path
    dropped: dict[str, str] = field(default_factory=dict)  # sha256 -> shown name

    def drop(self, name: str | bytes, data: bytes, card: str = "tag") -> Path:
        """Put a file into a card's folder, or with an empty `card` at the top of the inbox."""
        parent = self.folder / "inbox" / card
        parent.mkdir(parents=True, exist_ok=True)
        path = parent / (os.fsdecode(name) if isinstance(name, bytes) else name)
        path.write_bytes(data)
        self.dropped[hashlib.sha256(data).hexdigest()] = repr(name)
        return path

    def drop_good_pair(self, name: str = "lantern") -> None:
        for side, colour in (("front", "#d8e4ee"), ("back", "#eee4d8")):
            self.drop(f"{name}_{side}.png", _drawn(PAIR_PX, colour), card="")

    def run(self, *arguments: str, limit_s: float = LIMIT_S, through: Iterable[str] = ()) -> Ran:
        """Run the command on the print folder; it is ended when it takes too long, and the test with it."""
        command = [sys.executable, "-c", _LAUNCH, *through, sys.executable, "-m", "watcher"]
        command += [*(arguments or ("once",)), "--settings", str(self.folder / "settings.toml")]
        begun = time.monotonic()
        # files, not pipes: a worker that outlived the command would keep a pipe open
        with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
            process = subprocess.Popen(
                command, stdin=subprocess.DEVNULL, stdout=out, stderr=err, start_new_session=True
            )
            try:
                code = process.wait(limit_s)
            finally:
                with contextlib.suppress(ProcessLookupError):
                    os.killpg(process.pid, signal.SIGKILL)
                process.wait()
            seconds = time.monotonic() - begun
            out.seek(0), err.seek(0)
            said, complained = out.read().decode(), err.read().decode()
        said, _, peak = said.rpartition("peak ")
        return Ran(seconds=seconds, code=code, out=said, err=complained, peak=int(peak) * 1024)

    def status(self) -> tuple[int, str, str]:
        """What `status` says of the print folder, in this process: its exit code, output and errors."""
        out, err = io.StringIO(), io.StringIO()
        words = ["print-folder", "status", "--settings", str(self.folder / "settings.toml")]
        with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            patch.setattr(sys, "argv", words)
            with pytest.raises(SystemExit) as ended:
                main()
        return int(ended.value.code or 0), out.getvalue(), err.getvalue()

    def why_of(self, data: bytes) -> str | None:
        """The text of the `why.txt` beside the held file with these bytes, its lines joined; None without one."""
        digest = hashlib.sha256(data).hexdigest()
        for file in _files(self.folder / "held"):
            if _sha256(file) == digest:
                return " ".join((file.parent / "why.txt").read_text("utf-8").split())
        return None

    def wrong_with(self, bad: Bad, words: Iterable[str]) -> str | None:
        """What `why.txt` says of it, when it is not held or lacks one of the words (in any case); else None."""
        why = self.why_of(bad.data) or "not held"
        return why if why == "not held" or any(word.casefold() not in why.casefold() for word in words) else None

    def made(self) -> set[str]:
        """The orders whose sheets lie in the outbox."""
        outbox = self.folder / "outbox"
        return {path.name for path in outbox.iterdir() if path.is_dir() and list(path.glob("*_ticket.toml"))}

    def assert_nothing_lost(self) -> None:
        there = {_sha256(file) for part in ("inbox", "archive", "held") for file in _files(self.folder / part)}
        assert not {name for digest, name in self.dropped.items() if digest not in there}

    def assert_no_temporaries(self) -> None:
        left = [path for path in self.folder.rglob("*") if path.name.startswith((".taking", ".making"))]
        assert not left
        assert not [path for path in self.folder.rglob("*.part") if "inbox" not in path.parts]


def _files(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file() and not path.is_symlink()] if folder.exists() else []


def _sha256(file: Path) -> str:
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _drawn(size: tuple[int, int], colour: str) -> bytes:
    """A PNG that is neither blank nor the same when turned."""
    image = Image.new("RGB", size, colour)
    pen = ImageDraw.Draw(image)
    pen.rectangle([size[0] // 5, size[1] // 5, size[0] // 2, size[1] // 3], fill="#202860")
    pen.ellipse([size[0] // 2, size[1] // 2, size[0] * 3 // 4, size[1] * 3 // 5], fill="#a04020")
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def _new_shop(place: Path) -> Shop:
    folder = place / "shop"
    (folder / "inbox").mkdir(parents=True)
    (folder / "settings.toml").write_text(SETTINGS)
    return Shop(folder)


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What a run over many bad things and one good pair came to."""

    shop: Shop
    ran: Ran

    def assert_promises(self) -> None:
        """It ended by itself, within limits; the good pair is made and nothing else; nothing is lost or left over."""
        assert (self.ran.code, self.ran.err) == (1, "")
        assert self.ran.peak < MOST_BYTES
        assert self.shop.made() == {"lantern"}
        self.shop.assert_nothing_lost()
        self.shop.assert_no_temporaries()


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """A print folder with a one-sided card `tag`, where each file is an order of its own, and nothing in it."""
    return _new_shop(tmp_path)


@pytest.fixture(scope="module")
def run_over(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Outcome]:
    """Drop bad things and a good pair and run the command once; `put` may put what is no file into the inbox."""

    def run(bad: Iterable[Bad], put: Callable[[Shop], None] = lambda _shop: None) -> Outcome:
        shop = _new_shop(tmp_path_factory.mktemp("hostile"))
        put(shop)
        for one in bad:
            shop.drop(one.name, one.data)
            for name, data in one.also.items():
                shop.drop(name, data)
        shop.drop_good_pair()
        return Outcome(shop=shop, ran=shop.run())

    return run


@pytest.fixture(scope="session")
def bad() -> type[Bad]:
    """The record of a bad thing."""
    return Bad


@pytest.fixture(scope="session")
def drawn() -> Callable[[str], bytes]:
    """Sound art for the one-sided card, in a colour."""
    return lambda colour: _drawn(TAG_PX, colour)
