"""A print folder's parts for the orders room: settings, drawn-up finds, claims."""

import hashlib
import io
import time
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from types import SimpleNamespace

import pytest
from PIL import Image
from pypdf import PdfWriter

from tests.a_shop import OFFICE
from watcher.errors import ArtUnreadable
from watcher.inbox.found import Found
from watcher.inbox.inspection import inspect_file, read_member
from watcher.inbox.scan import Identity, SeenFile, scan
from watcher.inbox.settle import Settling
from watcher.inbox.unpack import unfold
from watcher.orders.claim import claim
from watcher.orders.gather import gather
from watcher.orders.gathered import ToGather
from watcher.orders.inbox_reading import in_folders
from watcher.orders.model import Planned
from watcher.orders.pairing import Table, pair_sides
from watcher.orders.returned import held_folders, returned_folders
from watcher.outbox.hold import hold
from watcher.settings.load import load_settings
from watcher.settings.model import Settings

SETTINGS = (
    """
[cards.invitation]
trim = "5 x 7 in"
sheet = "letter"
[cards.tag]
trim = "85 x 55 mm"
sides = 1
quantity = 10
sheet = "a4"
[cards.menu]
trim = "ISO A6"
common_back = "menu-back.png"
sheet = "a4"
[cards.voucher]
trim = "85 x 55 mm"
common_front = "voucher-front.png"
sheet = "a4"
"""
    + OFFICE
)

_INSIDE = ("zip", "pdf")


def png(word: str = "a") -> bytes:
    """A whole small PNG whose bytes depend on the word."""
    buffer = io.BytesIO()
    shade = hashlib.sha256(word.encode()).digest()
    Image.frombytes("RGB", (2, 2), shade[:12]).save(buffer, "PNG")
    return buffer.getvalue()


def pdf(pages: int) -> bytes:
    """A whole PDF of so many blank pages."""
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(360, 504)
    buffer = io.BytesIO()
    writer.write(buffer)
    return buffer.getvalue()


def packed(members: Mapping[str, bytes]) -> bytes:
    """A whole ZIP."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, data in members.items():
            archive.writestr(zipfile.ZipInfo(name), data)  # of a date that is always the same
    return buffer.getvalue()


@pytest.fixture
def make() -> SimpleNamespace:
    """Bytes of whole files: `png(word)`, `pdf(pages)`, `packed(members)`."""
    return SimpleNamespace(png=png, pdf=pdf, packed=packed)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Two-sided, one-sided, common back, common front; and the folders of a print folder."""
    for name in ("inbox", "archive", "held"):
        (tmp_path / name).mkdir(exist_ok=True)
    for side in ("menu-back.png", "voucher-front.png"):
        (tmp_path / side).write_bytes(png(side))
    (tmp_path / "settings.toml").write_text(SETTINGS)
    return load_settings(tmp_path / "settings.toml")


@pytest.fixture
def inbox(settings: Settings) -> Path:
    return settings.folders.inbox


@pytest.fixture
def archive(settings: Settings) -> Path:
    return settings.folders.archive


@pytest.fixture
def drop(inbox: Path) -> Callable[..., list[Path]]:
    """Drop files into the inbox: names (with their card's folder) to bytes; a bare name gets a drawing of its own."""

    def write(*names: str, **contents: bytes) -> list[Path]:
        paths = []
        for name, data in [*((name, png(name)) for name in names), *contents.items()]:
            path = inbox / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(data)
            paths.append(path)
        return paths

    return write


def _see(path: Path, inbox: Path) -> SeenFile:
    folder = None if path.parent == inbox else path.parent.name
    return SeenFile(path=path, folder=folder, name=path.name, identity=Identity.of(path.lstat()))


def _read(found: Found) -> bytes:
    if found.text is not None:
        return found.text
    if found.member is None:
        return found.file.path.read_bytes()
    return read_member(found.file.path, found.member.stored_as)


@pytest.fixture
def read() -> Callable[[Found], bytes]:
    """The bytes of a find."""
    return _read


@pytest.fixture
def find(settings: Settings, inbox: Path) -> Callable[[], tuple[Found, ...]]:
    """Everything in the inbox, unfolded."""

    def unfolded() -> tuple[Found, ...]:
        files = sorted((_see(path, inbox) for path in inbox.rglob("*") if path.is_file()), key=lambda file: file.path)
        insides = ((file, inspect_file(file.path) if file.path.suffix[1:] in _INSIDE else None) for file in files)
        return tuple(found for file, inside in insides for found in unfold(file, inside, settings.names))

    return unfolded


@pytest.fixture
def pair(settings: Settings, find: Callable[[], tuple[Found, ...]]) -> Callable[[], tuple[Planned, ...]]:
    """Everything in the inbox, paired."""
    return lambda: pair_sides(Table(found=find()), settings, _read)


@pytest.fixture
def gather_now(settings: Settings) -> Callable[..., SimpleNamespace]:
    """One look at everything as `taking` does it; gives `.gathered`, `.plans` and `.by_name`."""

    def look(*, known: bool = True, impatient: bool = False, quiet_s: float = 0.0, stuck_s: float = 0.0):
        seen = scan(settings.folders.inbox, settings.cards)
        returned = returned_folders(seen)
        held = held_folders(settings.folders.held)
        files = [*seen.files, *(file for folder in returned for file in folder.files), *in_folders(seen, returned)]
        settling = Settling(quiet_s)
        settling.update(files, 0.0)
        rested = settling.update(files, stuck_s)
        inside = [file for file in files if file.path.suffix[1:] in _INSIDE]
        inside += [file for folder in held for file in folder.files if file.path.suffix[1:] in _INSIDE]
        looks = {file.identity: _look(file.path) for file in inside} if known else {}
        gathered = gather(
            ToGather(
                scan=seen,
                rested=rested,
                returned=returned,
                held=held,
                insides=looks,
                words=settings.names,
                give_up_s=600.0,
                overdue=frozenset(folder.path for folder in returned if impatient),
            )
        )
        plans = (*pair_sides(gathered.table, settings, _read), *gathered.unusable)
        return SimpleNamespace(gathered=gathered, plans=plans, by_name={plan.name: plan for plan in plans})

    return look


@pytest.fixture
def held(settings: Settings) -> Path:
    return settings.folders.held


@pytest.fixture
def set_aside_now(gather_now: Callable[..., SimpleNamespace], archive: Path, held: Path) -> Callable[..., None]:
    """Hold everything that lies in the inbox now, each order with its fault or for what is missing."""
    number = iter(range(1, 1000, 10))

    def do(*, soft: bool = False) -> None:
        for plan in gather_now().plans:
            (order,) = claim([plan], archive, next(number))
            hold(order, ("Look at it.",), soft=soft, archive=archive, held=held, since="2026-05-01T10:11:12+02:00")

    return do


@pytest.fixture
def lone_front(drop: Callable[..., list[Path]], set_aside_now: Callable[..., None]) -> None:
    """A front that has waited for its back and was set aside."""
    drop("a_front.png")
    set_aside_now()


def _look(path: Path) -> object:
    try:
        return inspect_file(path)
    except ArtUnreadable as error:
        return str(error)


@pytest.fixture
def hashes(settings: Settings) -> Callable[[], dict[str, str]]:
    """The SHA-256 of every file in inbox, archive and held, by its path below them."""

    def of_all() -> dict[str, str]:
        folders = (settings.folders.inbox, settings.folders.archive, settings.folders.held)
        return {
            str(path.relative_to(settings.folder)): hashlib.sha256(path.read_bytes()).hexdigest()
            for folder in folders
            for path in sorted(folder.rglob("*"))
            if path.is_file()
        }

    return of_all


@pytest.fixture
def soon() -> Callable[[Callable[[], bool]], None]:
    """Wait for a condition, ten seconds at most."""

    def wait(condition: Callable[[], bool]) -> None:
        end = time.monotonic() + 10
        while not condition():
            assert time.monotonic() < end, "it never came"
            time.sleep(0.01)

    return wait
