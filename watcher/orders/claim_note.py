"""The content of `archive/.taking-N.json`: what order N is and where its files came from; written and read."""

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from watcher.disk import is_bare_name
from watcher.inbox.found import Earlier
from watcher.orders.model import ArtSource, KeptFile, Order, Repeat
from watcher.orders.wishes import Wishes, overs_from
from watcher.terms import EarlierUse, Sequencing, Side

_UNKNOWN_EARLIER: Mapping[str, object] = {"seen": (), "came_in": "", "fault_code": ""}


def note_text(order: Order) -> bytes:
    """Give the content of the note of an order, JSON in ASCII."""
    return json.dumps(_written(order)).encode("ascii")


def _written(order: Order) -> dict[str, Any]:
    """The order as one flat table, in the form that all versions of this program read."""
    body, wishes, repeat = asdict(order), order.wishes, order.repeat
    del body["wishes"]
    for key, unsaid in _UNKNOWN_EARLIER.items():
        if body[key] == unsaid:
            del body[key]  # an earlier version does not know it
    body |= {
        "card": wishes.card,
        "sheet": "" if repeat else wishes.sheet,
        "quantity": wishes.quantity or 1,
        **({"quantity_from_card": True} if wishes.quantity_from_card else {}),
        "overs": str(wishes.spare),
        "due": wishes.due.isoformat() if wishes.due else None,
        "note": wishes.note,
        "approve": wishes.approve,
        "now": wishes.now,
        "sequence": wishes.sequence,
        "only": [] if repeat else wishes.only,
    }
    if repeat is not None:
        body["repeat"] |= {
            "quantity": wishes.quantity or None,
            "overs": str(wishes.overs) if wishes.overs else None,
            "sheet": wishes.sheet or None,
            "only": wishes.only,
        }
    return body


def order_in(note: bytes) -> Order:
    """Give the order that a note describes.

    Raises:
        ValueError, KeyError, TypeError: the note is not one of ours, or names files in other folders.
    """
    try:
        data = json.loads(note)
    except RecursionError as error:  # thousands of brackets, which others may have written there
        raise ValueError("it nests too deep") from error
    if not isinstance(data, dict):
        raise TypeError("no table")
    wishes = _read_wishes(data, data.get("repeat") or data)
    for key in vars(wishes):
        data.pop(key, None)
    repeat = data.get("repeat")
    data["repeat"] = _read_repeat(repeat) if repeat else None
    data["art"] = tuple(_read_source(source) for source in data["art"])
    data["seen"] = tuple(data.get("seen", ()))
    data["files"] = tuple(KeptFile(**{**kept, "members": tuple(kept.get("members", ()))}) for kept in data["files"])
    order = Order(wishes=wishes, **data)
    if type(order.number) is not int or not all(is_bare_name(one.name) for one in order.files):
        raise ValueError("it names what lies in another folder")
    if not all(is_bare_name(one.file) for one in order.art):
        raise ValueError("it names art in another folder")
    return order


def _read_wishes(data: Mapping[str, Any], asked: Mapping[str, Any]) -> Wishes:
    """What is wanted; of a repeat sheet, quantity, overs and designs stand in a table of their own, `asked`."""
    return Wishes(
        card=data["card"],
        sheet=asked["sheet"] or "",
        quantity=asked["quantity"] or 0,
        quantity_from_card=data.get("quantity_from_card", False),
        overs=None if asked["overs"] is None else overs_from(asked["overs"]),
        due=date.fromisoformat(data["due"]) if data["due"] else None,
        note=data["note"],
        approve=data.get("approve"),
        now=data.get("now", False),
        sequence=Sequencing(data["sequence"]) if data.get("sequence") else None,
        only=tuple(asked.get("only", ())),
    )


def _read_repeat(repeat: Mapping[str, Any]) -> Repeat:
    return Repeat(order=repeat["order"], sheets_only=repeat["sheets_only"], as_before=repeat["as_before"])


def _read_source(source: dict[str, Any]) -> ArtSource:
    return ArtSource(**{**source, "side": Side(source["side"]), "earlier": _read_earlier(source.get("earlier"))})


def _read_earlier(earlier: dict[str, Any] | None) -> Earlier | None:
    if earlier is None:
        return None
    return Earlier(**{**earlier, "use": EarlierUse(earlier["use"]), "before": _read_earlier(earlier.get("before"))})
