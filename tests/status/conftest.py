"""A print folder on a full day, as facts."""

from datetime import UTC, date, datetime, timedelta

import pytest

from watcher.records.health import Health
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
