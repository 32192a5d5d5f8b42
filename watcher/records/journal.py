"""The service's memory: which order is where on its way, in SQLite under `state/`.

One writer (the holder of the lock), every change its own transaction, durable before the step it announces.
Source of the settings: sqlite.org/wal.html (WAL needs a local disk), sqlite.org/pragma.html#pragma_synchronous.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields
from enum import StrEnum
from pathlib import Path
from typing import Any

FILE_NAME = "journal.sqlite"

_MIGRATIONS = (
    """
    CREATE TABLE orders (
        number INTEGER PRIMARY KEY,   -- that of its folder archive/.taking-N
        name TEXT NOT NULL,           -- as people know it
        key TEXT NOT NULL,            -- the name in the form that is compared
        card TEXT NOT NULL,
        state TEXT NOT NULL,
        since TEXT NOT NULL,          -- ISO 8601, local time with offset
        folder TEXT NOT NULL,         -- its name in outbox and archive, or in held
        art TEXT NOT NULL,            -- fingerprint of name, card, sheet, quantity, overs and bytes
        sheets INTEGER NOT NULL,
        says TEXT NOT NULL            -- one line for people: counts, or why it is held
    ) STRICT;
    CREATE INDEX orders_by_art ON orders (art, state);
    CREATE INDEX orders_by_state ON orders (state);
    CREATE INDEX orders_by_key ON orders (key, state);
    """,
)


class State(StrEnum):
    """How far an order is."""

    TAKEN = "taken"  # its files are out of the inbox
    MAKING = "making"  # a worker has it
    DELIVERING = "delivering"  # finished aside, on its way to archive and outbox
    DONE = "done"
    HELD = "held"
    SAME = "same"  # the very art whose sheets still lay in the outbox


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One order in the journal."""

    number: int
    name: str
    key: str
    card: str
    state: State
    since: str
    folder: str = ""
    art: str = ""
    sheets: int = 0
    says: str = ""


_COLUMNS = ", ".join(field.name for field in fields(Entry))


def _storable(value: object) -> object:
    """Text that is no UTF-8 (a file name's odd bytes) cannot be stored as it is; it is written out."""
    return value.encode("utf-8", "backslashreplace").decode() if isinstance(value, str) else value


def _entry(row: dict[str, Any]) -> Entry:
    return Entry(**{**row, "state": State(row["state"])})


class Journal:
    """Reads and writes the journal; `open_journal` makes one."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()

    def write(self, entry: Entry) -> None:
        """Keep this as the order's state, durably, before anything is done about it."""
        with self._transaction() as connection:
            connection.execute(
                f"INSERT OR REPLACE INTO orders ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                tuple(_storable(value) for value in vars(entry).values()),
            )

    def forget(self, number: int) -> None:
        """Drop an order that went back to the inbox untouched."""
        with self._transaction() as connection:
            connection.execute("DELETE FROM orders WHERE number = ?", (number,))

    def find(self, number: int) -> Entry | None:
        """One order by its number."""
        return next(iter(self._select("WHERE number = ?", number)), None)

    def made_of(self, art: str) -> list[Entry]:
        """Finished orders of exactly this art, newest first."""
        return self._select("WHERE art = ? AND state = 'done' ORDER BY number DESC", art)

    def made_as(self, key: str) -> list[Entry]:
        """Finished orders of this name, newest first."""
        return self._select("WHERE key = ? AND state = 'done' ORDER BY number DESC", _storable(key))

    def in_state(self, *states: State, newest: int = 1000) -> list[Entry]:
        """Orders in these states, newest first."""
        marks = ", ".join("?" * len(states))
        return self._select(f"WHERE state IN ({marks}) ORDER BY number DESC LIMIT {int(newest)}", *states)

    def last_number(self) -> int:
        """The highest number ever given, 0 for none."""
        (number,) = self._connection.execute("SELECT coalesce(max(number), 0) FROM orders").fetchone()
        return int(number)

    def _select(self, where: str, *values: object) -> list[Entry]:
        rows = self._connection.execute(f"SELECT {_COLUMNS} FROM orders {where}", values)
        names = [column[0] for column in rows.description]
        return [_entry(dict(zip(names, row, strict=True))) for row in rows]

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        # IMMEDIATE: a deferred transaction that turns into a writer fails at once instead of waiting its turn
        self._connection.execute("BEGIN IMMEDIATE")
        try:
            yield self._connection
        except BaseException:
            self._connection.execute("ROLLBACK")
            raise
        self._connection.execute("COMMIT")


def open_journal(state: Path) -> Journal:
    """The journal in `state`, made or brought up to date as needed.

    Raises:
        sqlite3.DatabaseError: the file is damaged or cannot be written.
    """
    connection = sqlite3.connect(state / FILE_NAME, isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA busy_timeout = 5000")
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    for number, script in enumerate(_MIGRATIONS[version:], start=version + 1):
        connection.executescript(f"BEGIN IMMEDIATE; {script} PRAGMA user_version = {number}; COMMIT;")
    return Journal(connection)


def read_journal(state: Path) -> Journal | None:
    """The journal for reading only, or None when there is none yet."""
    if not (state / FILE_NAME).exists():
        return None
    return Journal(sqlite3.connect(f"{(state / FILE_NAME).as_uri()}?mode=ro", uri=True, isolation_level=None))
