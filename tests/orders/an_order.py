"""A taken order made by hand, and what is asked of planned ones."""

from dataclasses import fields
from datetime import date
from pathlib import Path
from typing import Any

from watcher.orders.model import Order, Planned
from watcher.orders.wishes import Wishes, overs_from

WISHES = {field.name for field in fields(Wishes)}


def an_order(name: str = "a", number: int = 1, **values: Any) -> Order:
    """An order of one card; what is wanted of it and its other attributes by name, overs and due date as text."""
    wishes = {"quantity": 1, "overs": "0"} | {key: values.pop(key) for key in WISHES & values.keys()}
    wishes["overs"] = overs_from(wishes["overs"])
    if wishes.get("due"):
        wishes["due"] = date.fromisoformat(wishes["due"])
    plain = {"key": name.casefold(), "folder": None, "accepted": False, "art": (), "files": ()}
    return Order(number=number, name=name, wishes=Wishes(**wishes), **(plain | values))


def sides_of(plan: Planned) -> dict[str, str | tuple[str, int]]:
    """Side to the name of its file, with the page of a PDF."""
    return {
        str(piece.side): piece.found.shown if piece.page is None else (piece.found.shown, piece.page)
        for piece in plan.pieces
    }


def art_of(plan: Planned) -> dict[str, str]:
    """Side to the name of the file in the inbox or in held."""
    return {str(piece.side): piece.found.file.name for piece in plan.pieces}


def fault_of(plans: tuple[Planned, ...]) -> str:
    """The only plan's fault: one line, a whole sentence, no software's words in it."""
    (plan,) = plans
    assert plan.fault is not None
    assert plan.fault.endswith(".")
    assert "\n" not in plan.fault
    assert not plan.pieces
    return plan.fault


def put_back(held: Path, inbox: Path, name: str, new_name: str | None = None) -> Path:
    """Move a held order's folder back into the inbox, as a person does; gives where it lies."""
    target = inbox / (new_name or name)
    (held / name).rename(target)
    return target


def file_names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())
