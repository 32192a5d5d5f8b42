"""Write the overview as JSON. Keys are stable; times are ISO 8601 with offset; a list is cut where `more` says so."""

import os
from datetime import date, datetime
from typing import Any

from watcher.outbox.printing.standing import PrintStatus
from watcher.status.model import FinishedOrder, HeldOrder, OrderInHand, Overview, PaperToPull, WaitingOrder
from watcher.terms import Finding


def to_json(seen: Overview) -> dict[str, Any]:
    r"""What `json.dumps` takes. Names are as they are on disk; bytes that are not UTF-8 are written `\xNN`."""
    return {
        "print_folder": _name(seen.name),
        "service": {
            "at_work": seen.health.at_work,
            "last_look": _time(seen.health.last_scan),
            "paused": _maybe(seen.health.paused),
        },
        "notes": [_name(note) for note in seen.notes],
        "waiting": [_waiting(order) for order in seen.waiting.entries],
        "making": [_in_hand(order) for order in seen.making.entries],
        "held": [_held(order) for order in seen.held.entries],
        "finished": [_finished(order) for order in seen.finished.entries],
        "printed": [_finished(order) for order in seen.printed.entries],
        "paper": [_pile(pile) for pile in seen.paper],
        "left_alone": [_name(line) for line in seen.left_alone.entries],
        "more": {
            "waiting": seen.waiting.more,
            "making": seen.making.more,
            "held": seen.held.more,
            "finished": seen.finished.more,
            "printed": seen.printed.more,
            "left_alone": seen.left_alone.more,
        },
    }


def _waiting(order: WaitingOrder) -> dict[str, Any]:
    return {
        "order": _name(order.order),
        "place": _name(order.place),
        "missing": order.missing,
        "arriving": order.arriving,
        "why": _name(order.why),
        "since": _time(order.since),
        "held_after": _time(order.held_after),
        "made_after": _time(order.made_after),
        "files": [_name(file) for file in order.files],
        "due": _time(order.due),
        "cards": order.cards or None,
    }


def _in_hand(order: OrderInHand) -> dict[str, Any]:
    return {
        "order": _name(order.order),
        "card": _name(order.card),
        "progress": str(order.progress),
        "since": _time(order.since),
        "until": _time(order.until),
        "due": _time(order.due),
        "cards": order.cards or None,
    }


def _held(order: HeldOrder) -> dict[str, Any]:
    return {
        "folder": _name(order.folder),
        "place": _name(order.place),
        "reasons": [_name(reason.message) for reason in order.reasons],
        "findings": [_finding(reason) for reason in order.reasons],
        "ways_out": [_name(way) for way in order.ways_out],
        "since": _time(order.since),
        "may_be_accepted": order.may_be_accepted,
        "is_accepted": order.is_accepted,
        "files": [_name(file) for file in order.files],
        "needs": str(order.needs),
        "pictures": [_name(file) for file in order.pictures],
        "is_ours": order.is_ours,
        "held_as": _name(order.held_as) or None,
        "due": _time(order.due),
        "cards": order.cards or None,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "level": str(finding.level),
        "side": str(finding.side) if finding.side else None,
        "message": _name(finding.message),
    }


def _finished(order: FinishedOrder) -> dict[str, Any]:
    return {
        "folder": _name(order.folder),
        "order": _name(order.name),
        "words": _name(order.words),
        "quantity_from_card": order.quantity_from_card,
        "sheets": order.sheets,
        "sheet": _name(order.sheet),
        "size": order.size,
        "paper": _name(order.paper),
        "card": _name(order.card),
        "up": order.up or None,
        "waste_percent": order.waste_percent,
        "repeat_of": _name(order.repeat_of) or None,
        "second_side": _name(order.second_side) or None,
        "orders": [_name(name) for name in order.orders],
        "due": _time(order.due),
        "note": _name(order.note),
        "made": _time(order.made),
        "warnings": [_name(warning) for warning in order.warnings],
        "newer": [_name(newer) for newer in order.newer],
        "files": _files(order),
        "printing": _printing(order.printing),
    }


def _printing(stands: PrintStatus | None) -> dict[str, Any] | None:
    if stands is None:
        return None
    told = {"says": _name(stands.says), "printed": stands.printed, "sheets": stands.sheets}
    return {"standing": str(stands.standing), **told}


def _files(order: FinishedOrder) -> dict[str, Any]:
    """By what they are for; a list where a run of several layouts, or of several orders, has more than one."""
    names: dict[str, list[str]] = {}
    for file in order.files:
        names.setdefault(str(file.kind), []).append(_name(file.name))
    return {kind: found[0] if len(found) == 1 else found for kind, found in names.items()}


def _pile(pile: PaperToPull) -> dict[str, Any]:
    return {
        "sheet": _name(pile.sheet),
        "size": pile.size,
        "paper": _name(pile.paper),
        "sheets": pile.sheets,
        "orders": pile.orders,
    }


def _name(text: str) -> str:
    return os.fsencode(text).decode("utf-8", "backslashreplace")


def _maybe(text: str | None) -> str | None:
    return None if text is None else _name(text)


def _time(when: datetime | date | None) -> str | None:
    if isinstance(when, datetime):
        return when.isoformat(timespec="seconds")
    return when.isoformat() if when else None
