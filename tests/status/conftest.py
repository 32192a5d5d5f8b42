"""A print folder on a full day, as facts, and one to look over."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from watcher.records.health import Health
from watcher.settings.load import load_settings
from watcher.status.finished import paper_to_pull
from watcher.status.model import (
    FinishedOrder,
    HeldOrder,
    Listed,
    OrderInHand,
    Overview,
    ProductFile,
    ProductKind,
    Progress,
    WaitingOrder,
)
from watcher.status.overview import read_overview
from watcher.terms import Finding, Level, Side

NOW = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def full_day() -> Overview:
    finished = FinishedOrder(
        folder="lantern",
        words="50 cards = 25 sheets, plus 1 spare",
        sheets=26,
        sheet="letter",
        size="215.9 x 279.4 mm",
        paper="white card stock",
        card="invitation",
        due=date(2026, 12, 24),
        note="two piles",
        made=NOW,
        warnings=("lantern_front.png is a little soft.",),
        newer=("lantern-2",),
        files=(ProductFile(name="lantern_sheets.pdf", kind=ProductKind.SHEETS),),
        up=2,
        waste_percent=24.94,
        repeat_of="lamp",
        second_side="printed side down, top edge first; sheet 26 goes in first",
    )
    held = HeldOrder(
        folder="menu",
        place="held/menu",
        reasons=(
            Finding(level=Level.HOLD, code="low-resolution", message="It is too small.", side=Side.BACK),
            Finding(level=Level.HOLD, code="wrong-shape", message="It is the wrong shape."),
        ),
        ways_out=("Put the mended files into inbox.", 'Or rename this folder to "menu ok".'),
        since=NOW,
        may_be_accepted=True,
        is_accepted=False,
        files=("menu_back.png",),
    )
    waiting = WaitingOrder(
        order="market",
        place="inbox",
        missing="back",
        arriving=False,
        why="waits for its back",
        since=NOW,
        held_after=NOW + timedelta(minutes=15),
        files=("market_front.png",),
    )
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
    return Overview(
        name="shop",
        health=Health(at_work=False),
        notes=(),
        waiting=Listed(),
        making=Listed(),
        held=Listed(),
        finished=Listed(),
        paper=(),
        left_alone=Listed(),
    )


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
