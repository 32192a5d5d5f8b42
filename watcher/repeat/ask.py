"""`print-folder repeat`: only drops the job ticket that a person could write, for the holder of the lock to act on."""

import secrets
from pathlib import Path

import tomli_w

from watcher.disk import write_durably
from watcher.errors import OrderHeld, WrongUsage
from watcher.orders.model import Repeat
from watcher.orders.ticket import TicketRefused, read_ticket
from watcher.records.archived import Archived
from watcher.repeat.find import find_archived


def ask_again(repeat: Repeat, *, archive: Path, inbox: Path) -> Archived:
    """Put the job ticket into the inbox; gives the archived order that it means.

    Raises:
        WrongUsage: there is no such order, or several, or what was asked for cannot be.
        OSError: the inbox cannot be written to.
    """
    text = tomli_w.dumps({key: value for key, value in _keys(repeat).items() if value}).encode("utf-8")
    try:
        read_ticket(text, "repeat", ())
        found = find_archived(repeat.order, archive)
    except TicketRefused as refused:
        raise WrongUsage(f"{'; '.join(refused.faults)}.") from refused
    except OrderHeld as held:
        raise WrongUsage(str(held)) from held
    # digits alone: in a file's name nothing else is sure to be no side word
    write_durably(inbox / f"repeat-order-{secrets.randbelow(10**9):09d}.toml", text)
    return found


def _keys(repeat: Repeat) -> dict[str, str | int | bool | list[int] | None]:
    return {
        "repeat": repeat.order,
        "quantity": repeat.quantity,
        "sheets_only": repeat.sheets_only,
        "as_before": repeat.as_before,
        "only": list(repeat.only) or None,
    }
