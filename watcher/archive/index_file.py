"""`state/archive.sqlite`: what is remembered of tickets. A cache: lost, damaged or of another form it is made again."""

import sqlite3
from contextlib import suppress
from pathlib import Path

from watcher.disk import remove_file

FILE_NAME = "archive.sqlite"
_FORM = 2  # of what is kept; with another one it is made again
_TABLES = {
    "tickets": """                    -- of the archive, see ticket_index
        folder BLOB PRIMARY KEY,      -- its name in the archive, as the disk has it
        changed_ns INTEGER NOT NULL,  -- st_mtime of its ticket
        size INTEGER NOT NULL,        -- of the ticket, bytes
        facts TEXT NOT NULL,          -- the ticket as JSON without its long tables; empty where it is no order
        why TEXT NOT NULL,            -- why it cannot be read as an order; else empty
        made_at TEXT NOT NULL,        -- as the ticket says; empty where it is no order
        listed TEXT NOT NULL          -- what a list tells of it as JSON, see listed_order; empty where it is no order
    """,
    "finished": """                   -- of orders whose sheets are there, see outbox_tickets
        outbox BLOB NOT NULL,         -- the folder that they lie in
        place BLOB NOT NULL,          -- of the ticket in it
        mark TEXT NOT NULL,           -- the ticket's inode, size, and dates
        facts TEXT NOT NULL,          -- what a list of the outbox tells of it, as JSON; empty where it cannot be read
        PRIMARY KEY (outbox, place)
    """,
}


def open_index(state: Path | None) -> sqlite3.Connection:
    """Open the file, made anew where it is damaged or of another form; in memory where it cannot be used."""
    if state is not None and state.is_dir():
        for _ in range(2):
            try:
                return _ready(sqlite3.connect(state / FILE_NAME, timeout=2.0))
            except sqlite3.OperationalError:
                break  # no right to write, a full disk, a folder of that name
            except sqlite3.DatabaseError:
                with suppress(OSError):
                    remove_file(state / FILE_NAME)
    return _ready(sqlite3.connect(":memory:"))


def _ready(connection: sqlite3.Connection) -> sqlite3.Connection:
    """Give it its tables. It is not flushed at every step: what a power cut takes is read again."""
    try:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = NORMAL")
        (form,) = connection.execute("PRAGMA user_version").fetchone()
        if form != _FORM:
            with connection:
                connection.execute("BEGIN IMMEDIATE")
                for name, columns in _TABLES.items():
                    connection.execute(f"DROP TABLE IF EXISTS {name}")
                    connection.execute(f"CREATE TABLE {name} ({columns}) STRICT")
                connection.execute(f"PRAGMA user_version = {_FORM}")
    except BaseException:
        connection.close()
        raise
    return connection


def read_index(state: Path) -> sqlite3.Connection:
    """Open the file to read and change nothing.

    Raises:
        sqlite3.DatabaseError: there is none that can be read, or one of another form.
    """
    # without a log beside it nobody is writing; read as it is then, or a reader would leave an empty log behind
    how = "mode=ro" if (state / f"{FILE_NAME}-wal").exists() else "mode=ro&immutable=1"
    connection = sqlite3.connect(f"{(state / FILE_NAME).absolute().as_uri()}?{how}", uri=True)
    try:
        (form,) = connection.execute("PRAGMA user_version").fetchone()
        if form != _FORM:
            raise sqlite3.DatabaseError("of another form")
    except BaseException:
        connection.close()
        raise
    return connection
