"""Remember what the tickets of finished orders in the outbox say, beside the index of the archive's.

A cache and nothing more: a ticket counts as known while its file is the same one with the same size and dates.
"""

import json
import os
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from watcher.archive.index_file import open_index, read_index
from watcher.archive.ticket_reader import OrderTicket, read_ticket_file, ticket_facts, told_tables

_Kept = tuple[str, str]  # the mark of its file, and its tables as JSON


class OutboxTickets:
    """Reads tickets of one folder of finished orders; each is opened once, whoever asks."""

    def __init__(self) -> None:
        self._outbox = self._state = Path()
        self._known: dict[bytes, _Kept] = {}
        self._new: dict[bytes, _Kept] = {}

    def begin(self, outbox: Path, state: Path) -> None:
        """Begin to read.

        Args:
            outbox: the folder with the folders of orders.
            state: the folder in which what tickets say is kept.
        """
        if (outbox, state) != (self._outbox, self._state):  # whoever reads again and again keeps what he has read
            self._outbox, self._state, self._new = outbox, state, {}
            self._known = dict(self._read_kept())

    def read(self, file: Path) -> OrderTicket | None:
        """Give the facts of a ticket; None where there is none that can be read."""
        if (mark := _mark(file)) is None:
            return None
        place = os.fsencode(file.relative_to(self._outbox))
        known = self._known.pop(place, None)
        if known is None or known[0] != mark:
            tables = read_ticket_file(file)
            known = mark, "" if tables is None else json.dumps(told_tables(tables), default=_day)
            self._new[place] = known
        return ticket_facts(json.loads(known[1])) if known[1] else None

    def keep(self) -> None:
        """Keep what was read anew, and forget what was not asked for."""
        if not (self._new or self._known):
            return
        folder = os.fsencode(self._outbox)
        gone = [(folder, place) for place in self._known]
        rows = [(folder, place, *kept) for place, kept in self._new.items()]
        with suppress(sqlite3.DatabaseError), closing(open_index(self._state)) as index, index:
            index.executemany("DELETE FROM finished WHERE outbox = ? AND place = ?", gone)
            index.executemany("INSERT OR REPLACE INTO finished VALUES (?, ?, ?, ?)", rows)
        self._known, self._new = {}, {}

    def _read_kept(self) -> Iterator[tuple[bytes, _Kept]]:
        wanted = "SELECT place, mark, facts FROM finished WHERE outbox = ?"
        with suppress(sqlite3.DatabaseError), closing(read_index(self._state)) as index:
            for place, mark, facts in index.execute(wanted, (os.fsencode(self._outbox),)):
                yield place, (mark, facts)


def _mark(file: Path) -> str | None:
    try:
        status = file.lstat()
    except OSError:
        return None
    if not stat.S_ISREG(status.st_mode):
        return None
    return f"{status.st_ino} {status.st_size} {status.st_mtime_ns} {status.st_ctime_ns}"


def _day(value: Any) -> str:
    """A date of TOML as `ticket_reader` reads it from text."""
    return value.date().isoformat() if isinstance(value, datetime) else str(value)
