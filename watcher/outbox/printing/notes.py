"""The notes on what was sent to printers: SQLite under `state/`, each change on the disk before anything goes out.

They have one writer, the service. What they say of a job is the most that can have come of it (`sending_life.py`).
An order is known here by its name and the moment at which it was made, so that another one of the same name is another.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import fields
from pathlib import Path
from typing import Any

from watcher.disk import identity_of
from watcher.outbox.printing.order_printing import OrderNote, OrderPrinting, Part, SheetJob
from watcher.outbox.printing.sending_life import UNDER_WAY, JobStage
from watcher.outbox.printing.standing import NOTES_NAME, is_anything_noted
from watcher.records.journal import JournalTrouble
from watcher.records.plain_text import as_utf8
from watcher.records.transaction import immediate_transaction

_TABLES = """
CREATE TABLE orders (
    key TEXT PRIMARY KEY,         -- name and moment of making
    name TEXT NOT NULL,           -- of its folder
    sheets INTEGER NOT NULL,      -- how many the order takes
    record TEXT NOT NULL,         -- the file in its folder that tells what was sent; empty: none was written
    answered TEXT NOT NULL,       -- the last rename that was answered
    answered_at TEXT NOT NULL,    -- ISO 8601
    wish TEXT NOT NULL,           -- the rename that is being carried out; empty: none
    says TEXT NOT NULL,           -- what became of the last one, for people
    look_at TEXT NOT NULL,        -- what a person is to look at; empty: nothing
    finished_at TEXT NOT NULL     -- when all of it was printed, ISO 8601; empty: it is not
) STRICT;
CREATE TABLE jobs (
    number INTEGER PRIMARY KEY,
    order_key TEXT NOT NULL,
    printer TEXT NOT NULL,        -- its name in the settings; empty: a person has printed
    queue TEXT NOT NULL,          -- its address then
    stack INTEGER NOT NULL,       -- which of the order's files, counted from 0
    side TEXT NOT NULL,
    first INTEGER NOT NULL,       -- sheet of the stack, counted from 1
    sheets INTEGER NOT NULL,
    sha256 TEXT NOT NULL,         -- of the file of sheets
    stage TEXT NOT NULL,
    times INTEGER NOT NULL,       -- which try it is, from 1
    token TEXT NOT NULL,          -- of that try, in the job's name at the printer
    job_id INTEGER NOT NULL,      -- there; 0: not known
    held INTEGER NOT NULL,        -- whether the printer had called it held before the document went
    says TEXT NOT NULL,           -- what is waited for, or what came of it
    asked TEXT NOT NULL,          -- equal for the jobs of one wish
    since TEXT NOT NULL           -- ISO 8601
) STRICT;
CREATE INDEX jobs_by_order ON jobs (order_key);
CREATE INDEX jobs_by_stage ON jobs (stage);
CREATE TABLE trusted (settings TEXT PRIMARY KEY) STRICT;
CREATE TABLE lines (number INTEGER PRIMARY KEY, said TEXT NOT NULL, since TEXT NOT NULL) STRICT;
"""


_JOB = [field.name for field in fields(SheetJob)]
_ORDER = [field.name for field in fields(OrderNote)]


class PrintNotes:
    """The open notes; from `open_notes`.

    Every method may raise `JournalTrouble`: the disk is full, gone or read-only, or the file is damaged. Then nothing
    is sent.
    """

    def __init__(self, connection: sqlite3.Connection, file: Path) -> None:
        self._connection, self._file, self._identity = connection, file, identity_of(file)

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def check(self) -> None:
        """Make sure that the file is still in its place: a deleted one can be written to, in vain.

        Raises:
            JournalTrouble: it is not.
        """
        if identity_of(self._file) != self._identity:
            raise JournalTrouble("the notes on what was printed were deleted while the program was running")

    # -- reading ---------------------------------------------------------------------------------------------------

    def find(self, key: str) -> OrderPrinting | None:
        """One order with its jobs."""
        return next(iter(self._orders("WHERE key = ?", key)), None)

    def jobs_under_way(self) -> list[SheetJob]:
        """The jobs that have not come to their end, in the order in which they were asked for."""
        marks = ", ".join("?" * len(UNDER_WAY))
        return self._jobs(f"WHERE stage IN ({marks}) ORDER BY number", *UNDER_WAY)

    def orders(self) -> list[OrderPrinting]:
        """Every order of which something was noted."""
        return self._orders("")

    def with_a_wish(self) -> list[OrderPrinting]:
        """The orders whose rename is being carried out."""
        return self._orders("WHERE wish <> ''")

    def awaiting_backs(self) -> list[OrderPrinting]:
        """The orders whose fronts are printed and wait for their backs."""
        fronts = "SELECT order_key FROM jobs WHERE side = 'fronts' AND stage = 'printed'"
        return [one for one in self._orders(f"WHERE key IN ({fronts})") if one.awaiting_backs is not None]

    def is_trusted(self, settings: str) -> bool:
        """Whether a first sheet of an order of these settings was found good."""
        return bool(self._rows("SELECT 1 FROM trusted WHERE settings = ?", settings))

    def lines(self) -> list[tuple[int, str, str]]:
        """What is still to be said in the log for people: number, line, and since when."""
        return [(int(n), str(said), str(since)) for n, said, since in self._rows("SELECT * FROM lines ORDER BY number")]

    # -- writing, each durable when it returns ---------------------------------------------------------------------

    def write(
        self, *orders: OrderNote, jobs: tuple[SheetJob, ...] = (), lines: tuple[str, ...] = (), since: str = ""
    ) -> None:
        """Write orders, jobs and lines for the log, all of them or none."""
        with self._transaction() as connection:
            for order in orders:
                _put(connection, "orders", _ORDER, order)
            for job in jobs:
                names = _JOB if job.number else _JOB[1:]
                _put(connection, "jobs", names, job)
            connection.executemany(
                "INSERT INTO lines (said, since) VALUES (?, ?)", [(as_utf8(line), since) for line in lines]
            )

    def trust(self, settings: tuple[str, ...]) -> None:
        """Note that a first sheet of orders of these settings was found good."""
        with self._transaction() as connection:
            connection.executemany("INSERT OR IGNORE INTO trusted VALUES (?)", [(one,) for one in settings])

    def drop_line(self, number: int) -> None:
        """Forget a line that the log has."""
        with self._transaction() as connection:
            connection.execute("DELETE FROM lines WHERE number = ?", (number,))

    def forget(self, key: str) -> None:
        """Forget an order and its jobs."""
        with self._transaction() as connection:
            connection.execute("DELETE FROM jobs WHERE order_key = ?", (key,))
            connection.execute("DELETE FROM orders WHERE key = ?", (key,))

    # -- the file --------------------------------------------------------------------------------------------------

    def _orders(self, where: str, *values: object) -> list[OrderPrinting]:
        rows = self._rows(f"SELECT {', '.join(_ORDER)} FROM orders {where}", *values)
        notes = [OrderNote(**dict(zip(_ORDER, row, strict=True))) for row in rows]
        by_key: dict[str, list[SheetJob]] = {}
        if len(notes) == 1:
            by_key[notes[0].key] = self._jobs("WHERE order_key = ? ORDER BY number", notes[0].key)
        elif notes:
            for job in self._jobs("ORDER BY number"):
                by_key.setdefault(job.order_key, []).append(job)
        return [OrderPrinting(note=note, jobs=tuple(by_key.get(note.key, ()))) for note in notes]

    def _jobs(self, where: str, *values: object) -> list[SheetJob]:
        return [_job(row) for row in self._rows(f"SELECT {', '.join(_JOB)} FROM jobs {where}", *values)]

    def _rows(self, query: str, *values: object) -> list[tuple[Any, ...]]:
        try:
            return self._connection.execute(query, values).fetchall()
        except sqlite3.Error as error:
            raise JournalTrouble(f"the notes on what was printed cannot be read: {error}") from error

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        try:
            with immediate_transaction(self._connection) as connection:
                yield connection
        except sqlite3.Error as error:
            raise JournalTrouble(f"the notes on what was printed cannot be written: {error}") from error


def _put(connection: sqlite3.Connection, table: str, names: list[str], record: object) -> None:
    values = [as_utf8(value) if isinstance(value := getattr(record, name), str) else value for name in names]
    marks = ", ".join("?" * len(names))
    connection.execute(f"INSERT OR REPLACE INTO {table} ({', '.join(names)}) VALUES ({marks})", values)


def _job(row: tuple[Any, ...]) -> SheetJob:
    found = dict(zip(_JOB, row, strict=True))
    found |= {"side": Part(found["side"]), "stage": JobStage(found["stage"]), "held": bool(found["held"])}
    return SheetJob(**found)


def open_notes(state: Path) -> PrintNotes:
    """Open the notes in `state`; they are made where there are none.

    Raises:
        JournalTrouble: they cannot be opened or written.
    """
    try:
        connection = sqlite3.connect(state / NOTES_NAME, isolation_level=None)
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = FULL")
            connection.execute("PRAGMA busy_timeout = 5000")
            if connection.execute("PRAGMA user_version").fetchone() == (0,):
                connection.executescript(f"BEGIN IMMEDIATE; {_TABLES} PRAGMA user_version = 1; COMMIT;")
        except BaseException:
            connection.close()
            raise
    except sqlite3.Error as error:
        raise JournalTrouble(f"the notes on what was printed cannot be opened: {error}") from error
    return PrintNotes(connection, state / NOTES_NAME)


def read_printings(state: Path) -> dict[str, OrderPrinting]:
    """Read from outside what is noted of each order, by its key; nothing where there are no notes.

    Raises:
        JournalTrouble: they cannot be read.
    """
    file = state / NOTES_NAME
    if not is_anything_noted(state):
        return {}
    how = "mode=ro" if (state / f"{NOTES_NAME}-wal").exists() else "mode=ro&immutable=1"
    try:
        connection = sqlite3.connect(f"{file.as_uri()}?{how}", uri=True, isolation_level=None)
        with closing(connection):
            if connection.execute("PRAGMA user_version").fetchone() == (0,):
                return {}
            return {one.note.key: one for one in PrintNotes(connection, file).orders()}
    except sqlite3.Error as error:
        raise JournalTrouble(f"the notes on what was printed cannot be read: {error}") from error
