"""A taken order made by hand, without art and files unless they are given."""

from dataclasses import fields
from datetime import date
from typing import Any

from watcher.orders.model import Order
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
