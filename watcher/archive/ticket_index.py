"""Remember what the tickets of the archive say, in `state/archive.sqlite`, so that a list opens none that it knows.

It is a cache and nothing more: lost, damaged or of another version it is made again from the archive. Whoever lists
brings it up to date first, for people copy and delete archived folders by hand: a ticket counts as known while the time
of its last change and its size are what they were when it was read.
"""

import json
import os
import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from watcher.archive.index_file import open_index
from watcher.archive.ticket_file import TICKET_SUFFIX

AT_A_TIME = 25  # tickets read between two looks at what else there is to do; about 25 ms

Progress = Callable[[int, int], None]  # so many tickets of so many are read
_Mark = tuple[int, int]


@dataclass(frozen=True, kw_only=True)
class Scan:
    """What lies in the archive now.

    Attributes:
        folders: those that have a ticket, the newest ticket first.
        unread: those of them whose ticket is not known as it is now.
        without: folders that have none.
    """

    folders: tuple[str, ...]
    unread: tuple[str, ...]
    without: tuple[str, ...]


class TicketIndex:
    """What the tickets say. Several processes may use it at the same time.

    Args:
        state: the folder that it lies in; None, or one that cannot be written: it is kept in memory.
    """

    def __init__(self, state: Path | None = None) -> None:
        self._db = open_index(state)

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def scan(self, archive: Path) -> Scan:
        """Compare with the archive, opening no ticket; what is gone there is forgotten.

        Raises:
            OSError: the archive is there but cannot be read.
        """
        there, without = _tickets_in(archive)
        marks = "SELECT folder, changed_ns, size FROM tickets"
        known = {os.fsdecode(folder): (changed, size) for folder, changed, size in self._rows(marks)}
        self._write("DELETE FROM tickets WHERE folder = ?", [(os.fsencode(name),) for name in known.keys() - there])
        folders = tuple(sorted(there, key=lambda name: (there[name], name), reverse=True))
        unread = tuple(name for name in folders if known.get(name) != there[name])
        return Scan(folders=folders, unread=unread, without=tuple(sorted(without)))

    def read(self, archive: Path, folders: Iterable[str]) -> None:
        """Open the tickets of some folders and remember what they say."""
        from watcher.archive.ticket_row import row_of  # costs time that a list of what is known need not wait for

        rows = [row for folder in folders if (row := row_of(archive / folder)) is not None]
        self._write("INSERT OR REPLACE INTO tickets VALUES (?, ?, ?, ?, ?, ?, ?)", rows)

    def catch_up(self, archive: Path, progress: Progress | None = None) -> Scan:
        """Read every ticket that is not known as it is now; gives what was compared.

        Args:
            archive: the folder.
            progress: is told how far it is, after every few tickets.
        """
        scan = self.scan(archive)
        for begin in range(0, len(scan.unread), AT_A_TIME):
            self.read(archive, scan.unread[begin : begin + AT_A_TIME])
            if progress is not None:
                progress(min(begin + AT_A_TIME, len(scan.unread)), len(scan.unread))
        return scan

    def listed(self) -> Iterator[tuple[str, dict[str, Any]]]:
        """Give the folder of every order that is known, with what a list tells of it; see `listed_order.from_kept`."""
        for folder, kept in self._rows("SELECT folder, listed FROM tickets WHERE listed <> ''"):
            yield os.fsdecode(folder), json.loads(kept)

    def made_after(self, day: date) -> set[str]:
        """Give the folders of the orders that are known to be made after a day."""
        wanted = "SELECT folder FROM tickets WHERE made_at GLOB '[0-9][0-9][0-9][0-9]-*' AND substr(made_at, 1, 10) > ?"
        return {os.fsdecode(folder) for (folder,) in self._rows(wanted, day.isoformat())}

    def unreadable(self) -> Iterator[tuple[str, str]]:
        """Give each folder whose ticket cannot be read as an order, with the reason."""
        for folder, why in self._rows("SELECT folder, why FROM tickets WHERE why <> '' ORDER BY folder"):
            yield os.fsdecode(folder), why

    def tables(self, folders: Collection[str]) -> Iterator[tuple[str, dict[str, Any]]]:
        """Give the short tables of the tickets of some folders, of those that are known and can be read."""
        for folder in folders:
            wanted = "SELECT facts FROM tickets WHERE folder = ? AND facts <> ''"
            for (facts,) in self._rows(wanted, os.fsencode(folder)):
                yield folder, json.loads(facts)

    def _rows(self, query: str, *values: object) -> Iterator[Any]:
        try:
            yield from self._db.execute(query, values)
        except sqlite3.DatabaseError:  # damaged while it is open, or another process holds it for long
            self._go_on_in_memory()

    def _write(self, command: str, rows: list[Any]) -> None:
        """Write all rows or none; what could not be written is read again next time."""
        if not rows:
            return
        try:
            with self._db:
                self._db.executemany(command, rows)
        except sqlite3.DatabaseError:
            self._go_on_in_memory()
            with self._db:
                self._db.executemany(command, rows)

    def _go_on_in_memory(self) -> None:
        """Take what is known into memory, as far as it can be read, and leave the file alone."""
        rows: list[Any] = []
        with suppress(sqlite3.DatabaseError):
            rows = self._db.execute("SELECT * FROM tickets").fetchall()
        self._db.close()
        self._db = open_index(None)
        with self._db:
            self._db.executemany("INSERT INTO tickets VALUES (?, ?, ?, ?, ?, ?, ?)", rows)


def _tickets_in(archive: Path) -> tuple[dict[str, _Mark], list[str]]:
    """The folders with a ticket, each with when that was changed and its size; and those without one."""
    tickets: dict[str, _Mark] = {}
    without: list[str] = []
    try:
        entries = os.scandir(archive)
    except FileNotFoundError:
        return tickets, without
    with entries:
        for entry in entries:
            if entry.name.startswith(".") or not entry.is_dir(follow_symlinks=False):
                continue
            try:
                status = os.lstat(f"{entry.path}/{entry.name}{TICKET_SUFFIX}")
            except OSError:
                without.append(entry.name)
                continue
            tickets[entry.name] = status.st_mtime_ns, status.st_size
    return tickets, without
