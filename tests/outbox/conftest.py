"""A taken order without any service around it."""

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.orders.an_order import an_order
from tests.outbox.a_held_order import SINCE, WHY
from watcher.orders.claim import taking_folder, write_note
from watcher.orders.model import KeptFile, Order
from watcher.orders.recover import forget_note
from watcher.outbox.hold import hold
from watcher.terms import Finding


@pytest.fixture
def folders(tmp_path: Path) -> Path:
    """A print folder with its folders, empty."""
    for name in ("inbox", "outbox", "held", "archive"):
        (tmp_path / name).mkdir()
    return tmp_path


@pytest.fixture
def take(folders: Path) -> Callable[..., Order]:
    """An order as `claim` leaves it: files in `archive/.taking-N`, its note beside them; `files` maps name to bytes."""

    def taken(name: str = "spring menu", number: int = 1, files: dict[str, bytes] | None = None, **values: object):
        kept = []
        folder = taking_folder(folders / "archive", number)
        folder.mkdir()
        for file, data in (files or {f"{name}_front.png": b"front", f"{name}_back.png": b"back"}).items():
            (folder / file).write_bytes(data)
            origin = str(folders / "inbox" / file)
            kept.append(KeptFile(name=file, origin=origin, size=len(data), sha256=hashlib.sha256(data).hexdigest()))
        order = an_order(name, number, **({"card": "menu", "sheet": "a4", "files": tuple(kept)} | values))
        write_note(folders / "archive", order)
        return order

    return taken


@pytest.fixture
def contents(folders: Path) -> Callable[[], dict[str, bytes]]:
    """Every file in the folders by its path, hidden ones too."""

    def of_all() -> dict[str, bytes]:
        files = (path for path in sorted(folders.rglob("*")) if path.is_file())
        return {str(path.relative_to(folders)): path.read_bytes() for path in files}

    return of_all


@pytest.fixture
def hold_it(folders):
    """Hold a taken order."""

    def held(order: Order, *reasons: str | Finding, soft: bool = False):
        archive = folders / "archive"
        note = hold(order, reasons or (WHY,), soft=soft, archive=archive, held=folders / "held", since=SINCE)
        forget_note(archive, order.number)
        return note

    return held


@pytest.fixture
def pictures(tmp_path_factory):
    """Files of ours in a building folder."""
    folder = tmp_path_factory.mktemp("building")
    for name in ("spring menu_card.png", "fault_front.png"):
        (folder / name).write_bytes(name.encode())
    return tuple(sorted(folder.iterdir()))
