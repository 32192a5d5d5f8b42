"""Read a ticket of the archive into the row that the index keeps of it."""

import json
import os
from pathlib import Path

from watcher.archive.archived import archived_from, why_unreadable
from watcher.archive.listed_order import listed, to_kept
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.archive.ticket_reader import read_ticket_file

_LONG_TABLES = {"settings", "places", "cuts", "findings", "print", "libraries", "picture", "forms"}


def row_of(folder: Path) -> tuple[bytes, int, int, str, str, str, str] | None:
    """What is kept of a folder's ticket; None where it is gone at this moment."""
    file = folder / (folder.name + TICKET_SUFFIX)
    try:
        status = file.lstat()  # before it is read: what changes meanwhile is read again
    except OSError:
        return None
    ticket = read_ticket_file(file) or {}
    known = os.fsencode(folder.name), status.st_mtime_ns, status.st_size
    if why := why_unreadable(folder, ticket):
        return *known, "", why, "", ""
    facts = json.dumps({key: ticket[key] for key in ticket if key not in _LONG_TABLES}, default=str)
    order = listed(archived_from(folder.name, ticket))
    return *known, facts, "", order.made_at, json.dumps(to_kept(order))
