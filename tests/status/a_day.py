"""Orders and a whole day made by hand, for the status page."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from watcher.records.health import Health
from watcher.status.model import (
    FinishedOrder,
    HeldOrder,
    Listed,
    OrderInHand,
    Overview,
    PaperToPull,
    Picture,
    ProductFile,
    ProductKind,
    Progress,
    WaitingOrder,
)
from watcher.terms import Finding, Level

NOW = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)


PICTURE = Picture(kind="image/jpeg", letters="/9j/", mark="1")


def finished(folder: str = "lantern", **more: Any) -> FinishedOrder:
    kinds = {
        "_sheets.pdf": ProductKind.SHEETS,
        "_instructions.pdf": ProductKind.INSTRUCTIONS,
        "_preview.png": ProductKind.PREVIEW,
    }
    order = FinishedOrder(
        front=PICTURE,
        folder=folder,
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
        files=tuple(ProductFile(name=folder + suffix, kind=kind) for suffix, kind in kinds.items()),
    )
    return replace(order, **more)


def reasons(*messages: str) -> tuple[Finding, ...]:
    return tuple(Finding(level=Level.HOLD, code="low-resolution", message=message) for message in messages)


def held(folder: str = "menu", **more: Any) -> HeldOrder:
    order = HeldOrder(
        front=PICTURE,
        spots=PICTURE,
        folder=folder,
        place=f"held/{folder}",
        reasons=reasons("menu_back.png is 82 ppi; 150 ppi is needed."),
        ways_out=("Put the mended files into inbox.", 'Or rename this folder to "menu ok".'),
        since=NOW,
        may_be_accepted=True,
        is_accepted=False,
        files=("menu_back.png",),
    )
    return replace(order, **more)


def waiting(order: str = "market", **more: Any) -> WaitingOrder:
    entry = WaitingOrder(
        order=order,
        place="inbox",
        missing="back",
        arriving=False,
        why="waits for its back",
        since=NOW,
        held_after=NOW + timedelta(minutes=15),
        files=("market_front.png",),
    )
    return replace(entry, **more)


EMPTY = Overview(
    name="shop",
    health=Health(at_work=True, last_scan=NOW),
    notes=(),
    waiting=Listed(),
    making=Listed(),
    held=Listed(),
    finished=Listed(),
    paper=(),
    left_alone=Listed(),
)


def day(name: str = "lantern") -> Overview:
    """Something of everything, under one name."""
    return replace(
        EMPTY,
        notes=(name,),
        waiting=Listed(entries=(waiting(name, place=name, why=name, files=(name,)),)),
        making=Listed(entries=(OrderInHand(order=name, card=name, progress=Progress.MAKING, since=NOW),)),
        held=Listed(entries=(held(name, reasons=reasons(name, name), ways_out=(name,), files=(name,)),)),
        finished=Listed(entries=(finished(name, card=name, note=name, paper=name, warnings=(name,), newer=(name,)),)),
        paper=(PaperToPull(sheet=name, size="", paper=name, sheets=26, orders=1),),
        left_alone=Listed(entries=(name,)),
    )
