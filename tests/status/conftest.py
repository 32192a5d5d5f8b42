"""A print folder on a full day, as facts, and one to look over."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.status import a_day
from tests.status.a_day import NOW
from watcher.records.health import Health
from watcher.settings.load import load_settings
from watcher.status.finished import paper_to_pull
from watcher.status.model import (
    Listed,
    OrderInHand,
    Overview,
    ProductFile,
    ProductKind,
    Progress,
)
from watcher.status.overview import read_overview
from watcher.terms import Finding, Level, Side


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def full_day() -> Overview:
    finished = a_day.finished(
        front=None,
        files=(ProductFile(name="lantern_sheets.pdf", kind=ProductKind.SHEETS),),
        up=2,
        waste_percent=24.94,
        repeat_of="lamp",
        second_side="printed side down, top edge first; sheet 26 goes in first",
    )
    held = a_day.held(
        front=None,
        spots=None,
        reasons=(
            Finding(level=Level.HOLD, code="low-resolution", message="It is too small.", side=Side.BACK),
            Finding(level=Level.HOLD, code="wrong-shape", message="It is the wrong shape."),
        ),
    )
    waiting = a_day.waiting()
    making = OrderInHand(order="tide", card="postcard", progress=Progress.MAKING, since=NOW)
    return Overview(
        name="shop",
        health=Health(at_work=True, last_scan=NOW, paused="the disk is full"),
        notes=("The journal is damaged.",),
        waiting=Listed(entries=(waiting,)),
        making=Listed(entries=(making,)),
        held=Listed(entries=(held,), more=4),
        finished=Listed(entries=(finished,)),
        paper=paper_to_pull([finished]),
        left_alone=Listed(entries=("holiday: a folder that is no card's",)),
    )


@pytest.fixture
def nothing() -> Overview:
    return replace(a_day.EMPTY, health=Health(at_work=False))


@pytest.fixture
def look(print_folder: Path) -> Callable[[], Overview]:
    """Look the print folder over."""
    for name in ("outbox", "held", "archive", "state"):
        (print_folder / name).mkdir(exist_ok=True)
    return lambda: read_overview(load_settings(print_folder / "settings.toml"))


@pytest.fixture
def put_out(print_folder: Path) -> Callable[..., Path]:
    """Put a finished order into the outbox; gives its folder."""

    def put(name: str = "lantern", *, ticket: str | bytes | None = None, **values: Any) -> Path:
        folder = print_folder / "outbox" / name
        folder.mkdir(parents=True)
        for suffix in ("_sheets.pdf", "_instructions.pdf", "_preview.png"):
            (folder / (name + suffix)).write_bytes(b"x")
        body = {"quantity": 50, "up": 2, "sheets": 26, "made_at": '"2026-11-25T12:00:00+00:00"', **values}
        text = "".join(f"{key} = {value}\n" for key, value in body.items())
        text += '[sheet]\nname = "letter"\nwidth_mm = 215.9\nheight_mm = 279.4\n'
        data = text.encode() if ticket is None else ticket.encode() if isinstance(ticket, str) else ticket
        (folder / f"{name}_ticket.toml").write_bytes(data)
        return folder

    return put
