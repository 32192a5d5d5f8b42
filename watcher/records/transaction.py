"""Begin a transaction of SQLite that waits its turn, and end it whole or not at all."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def immediate_transaction(connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """Carry out several statements, all of them or none.

    It is IMMEDIATE: a deferred transaction that turns into a writer fails at once instead of waiting its turn (SQLite's
    documentation of transactions).

    Raises:
        sqlite3.Error: it cannot begin or end.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield connection
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
