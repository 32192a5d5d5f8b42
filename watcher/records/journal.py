"""The journal: the state of every order, in SQLite under `state/`.

It has one writer, the holder of the lock. Every change is a transaction, durable before the step that it announces.
Source of the settings: sqlite.org/wal.html (WAL needs a local disk), sqlite.org/pragma.html#pragma_synchronous.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields
from pathlib import Path, PurePath
from typing import Any

from watcher.disk import identity_of
from watcher.errors import ServiceStopped
from watcher.records.order_life import State
from watcher.records.plain_text import as_utf8
from watcher.records.transaction import immediate_transaction

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
    """
    CREATE TABLE deaths (
        what TEXT PRIMARY KEY,        -- fingerprint of an order, or the identity of a file that was looked into
        workers INTEGER NOT NULL,     -- how many workers broke down over it
        services INTEGER NOT NULL     -- how many times in a row the service itself died while it was in hand
    ) STRICT;
    """,
    """
    ALTER TABLE orders ADD COLUMN run TEXT NOT NULL DEFAULT '';  -- the folder in the outbox that it shares with others
    CREATE INDEX orders_by_run ON orders (run) WHERE run <> '';
    """,
    """
    CREATE INDEX orders_by_folder ON orders (folder, state);
    CREATE TABLE rebuild (            -- one row while what was made before is read again; see journal_rebuild
        first INTEGER NOT NULL,       -- the numbers that are kept for it, from here
        last INTEGER NOT NULL,        -- to here
        next INTEGER NOT NULL         -- the one that is given next; they are given downwards
    ) STRICT;
    """,
)


_WITH_RUN = 3  # the version from which on orders have a column for their run


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One order in the journal; `run` names the folder of the gang run that it is part of, or is empty."""

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
    run: str = ""

    @property
    def in_outbox(self) -> str:
        """The folder in the outbox in which its sheets lie."""
        return self.run or self.folder


_COLUMNS = ", ".join(field.name for field in fields(Entry))
_MARKS = ", ".join("?" for _ in fields(Entry))


INSERT = f"INSERT OR REPLACE INTO orders ({_COLUMNS}) VALUES ({_MARKS})"  # of a `row_of`


def row_of(entry: Entry) -> tuple[object, ...]:
    """Give an entry as it is stored."""
    return tuple(_storable(value) for value in vars(entry).values())


def _storable(value: object) -> object:
    return as_utf8(value) if isinstance(value, str) else value


def _entry(row: dict[str, Any]) -> Entry:
    return Entry(**{**row, "state": State(row["state"])})


def _is_name(text: str) -> bool:
    """Whether it names a folder inside another, or is empty: somebody may have put a journal of his own here."""
    return text == "" or (text not in (".", "..") and PurePath(text).name == text)


class JournalTrouble(OSError):
    """The disk under the journal is full, gone or read-only: worth trying again later."""


class Journal:
    """The open journal; from `open_journal` or `read_journal`.

    Args:
        connection: to the database.
        file: where it lies.
    """

    def __init__(self, connection: sqlite3.Connection, file: Path) -> None:
        self._connection, self._file = connection, file
        # a journal that is only read may be of an earlier version still
        self._columns = _COLUMNS if _version(connection) >= _WITH_RUN else f"{_COLUMNS.removesuffix('run')}'' AS run"
        self._identity, self._damaged = identity_of(file), False

    def is_well(self) -> bool:
        """Whether its file is still in its place and undamaged. A deleted file can still be written to, in vain."""
        return not self._damaged and identity_of(self._file) == self._identity

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def write(self, entry: Entry) -> None:
        """Write the state of an order durably, before anything is done about it."""
        with self.transaction() as connection:
            connection.execute(
                INSERT,
                row_of(entry),
            )

    def forget(self, number: int) -> None:
        """Delete an order that went back to the inbox untouched."""
        with self.transaction() as connection:
            connection.execute("DELETE FROM orders WHERE number = ?", (number,))

    def find(self, number: int) -> Entry | None:
        """One order by its number."""
        return next(iter(self._select("WHERE number = ?", number)), None)

    def finished_with_fingerprint(self, art: str) -> list[Entry]:
        """Finished orders with this fingerprint of art and wishes, newest first."""
        return self._select("WHERE art = ? AND state = 'done' ORDER BY number DESC", art)

    def finished_named(self, key: str) -> list[Entry]:
        """Finished orders of this name, newest first."""
        return self._select("WHERE key = ? AND state = 'done' ORDER BY number DESC", _storable(key))

    def knows_run(self, run: str) -> bool:
        """Whether a gang run of this name exists or existed; a name is never used twice."""
        return bool(self._select("WHERE run = ? AND run <> '' LIMIT 1", run))

    def in_state(self, *states: State, newest: int = 1000) -> list[Entry]:
        """Orders in these states, newest first."""
        marks = ", ".join("?" * len(states))
        return self._select(f"WHERE state IN ({marks}) ORDER BY number DESC LIMIT {int(newest)}", *states)

    def count_worker_death(self, what: str) -> int:
        """Count a worker that died over an order or file; returns the count so far."""
        return self._count("workers", what)

    def count_service_death(self, what: str) -> int:
        """Count a death of the service over an order or file; returns how often in a row."""
        return self._count("services", what)

    def clear_deaths(self, what: str) -> None:
        """Reset the counts of deaths over an order or file that was made or held."""
        with self.transaction() as connection:
            connection.execute("DELETE FROM deaths WHERE what = ?", (what,))

    def _count(self, column: str, what: str) -> int:
        with self.transaction() as connection:
            connection.execute("INSERT OR IGNORE INTO deaths (what, workers, services) VALUES (?, 0, 0)", (what,))
            connection.execute(f"UPDATE deaths SET {column} = {column} + 1 WHERE what = ?", (what,))
            (count,) = connection.execute(f"SELECT {column} FROM deaths WHERE what = ?", (what,)).fetchone()
        return int(count)

    def is_sound(self) -> bool:
        """Whether SQLite finds the file undamaged (sqlite.org/pragma.html#pragma_quick_check)."""
        (answer,) = self._connection.execute("PRAGMA quick_check(1)").fetchone()
        return bool(answer == "ok")

    def last_number(self) -> int:
        """The highest number ever given or kept for an order, 0 for none."""
        ((given,),) = self.ask("SELECT coalesce(max(number), 0) FROM orders")
        ((kept,),) = self.ask("SELECT coalesce(max(last), 0) FROM rebuild")
        return max(int(given), int(kept))

    def knows_made(self, folder: str) -> bool:
        """Whether an order was made, or is being delivered, whose folder has this name."""
        query = "SELECT 1 FROM orders WHERE folder = ? AND state IN ('done', 'delivering') LIMIT 1"
        return bool(self.ask(query, _storable(folder)))

    def ask(self, query: str, *values: object) -> list[tuple[Any, ...]]:
        """Ask the database; gives the rows.

        Raises:
            JournalTrouble: it cannot be read.
        """
        try:
            return self._connection.execute(query, values).fetchall()
        except sqlite3.Error as error:
            raise self._trouble("the notes of what was made cannot be read", error) from error

    def _select(self, where: str, *values: object) -> list[Entry]:
        rows = self.ask(f"SELECT {self._columns} FROM orders {where}", *values)
        names = [field.name for field in fields(Entry)]
        found = [_entry(dict(zip(names, row, strict=True))) for row in rows]
        return [entry for entry in found if _is_name(entry.folder) and _is_name(entry.run)]

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """Begin a transaction for what several statements write, all of it or nothing.

        Raises:
            JournalTrouble: it cannot be written.
        """
        try:
            with immediate_transaction(self._connection) as connection:
                yield connection
        except sqlite3.Error as error:
            raise self._trouble("the notes of what was made cannot be written", error) from error

    def _trouble(self, what: str, error: sqlite3.Error) -> JournalTrouble:
        """The error of SQLite as a `JournalTrouble`: the disk is full, read-only or failing, or the file is damaged.

        Raises:
            sqlite3.Error: it is none of these, but our own bug.
        """
        is_damaged = type(error) is sqlite3.DatabaseError
        is_closed = isinstance(error, sqlite3.ProgrammingError) and "closed" in str(error)  # it is being rebuilt
        if not (is_damaged or is_closed or isinstance(error, sqlite3.OperationalError)):
            raise error
        self._damaged = self._damaged or is_damaged
        return JournalTrouble(f"{what}: {error}")


def open_journal(state: Path) -> Journal:
    """Open the journal in `state`; create it or migrate it as needed.

    Raises:
        sqlite3.DatabaseError: the file is damaged or cannot be written.
        ServiceStopped: a newer version of this program has written it.
    """
    connection = sqlite3.connect(state / FILE_NAME, isolation_level=None)
    try:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA busy_timeout = 5000")
        _bring_up_to_date(connection)
    except BaseException:
        connection.close()
        raise
    return Journal(connection, state / FILE_NAME)


def _bring_up_to_date(connection: sqlite3.Connection) -> None:
    version = _version(connection)
    if version > len(_MIGRATIONS):
        raise ServiceStopped(f"{FILE_NAME} was written by a newer version of this program. Use that version.")
    for number, script in enumerate(_MIGRATIONS[version:], start=version + 1):
        connection.executescript(f"BEGIN IMMEDIATE; {script} PRAGMA user_version = {number}; COMMIT;")


def _version(connection: sqlite3.Connection) -> int:
    """The number of migrations that the file has had."""
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    return int(version)


def read_journal(state: Path) -> Journal | None:
    """Open the journal for reading only; None where there is none yet."""
    if not (state / FILE_NAME).exists():
        return None
    # without a log beside it nobody is writing; read as it is then, or a reader would leave an empty log behind
    how = "mode=ro" if (state / f"{FILE_NAME}-wal").exists() else "mode=ro&immutable=1"
    connection = sqlite3.connect(f"{(state / FILE_NAME).as_uri()}?{how}", uri=True, isolation_level=None)
    try:
        if _version(connection) > 0:
            return Journal(connection, state / FILE_NAME)
    except BaseException:
        connection.close()
        raise
    connection.close()  # a first start is under way, or was cut short
    return None
