"""Several statements are all carried out, or none of them."""

import sqlite3

import pytest

from watcher.records.transaction import immediate_transaction


@pytest.fixture
def connection():
    opened = sqlite3.connect(":memory:", isolation_level=None)
    opened.execute("CREATE TABLE orders (name TEXT)")
    yield opened
    opened.close()


def test_what_ends_well_is_kept(connection):
    with immediate_transaction(connection) as inside:
        inside.execute("INSERT INTO orders VALUES ('lantern')")
    assert connection.execute("SELECT name FROM orders").fetchall() == [("lantern",)]


def _break_off(connection):
    with immediate_transaction(connection) as inside:
        inside.execute("INSERT INTO orders VALUES ('lantern')")
        raise KeyError


def test_of_what_breaks_off_nothing_is_kept(connection):
    with pytest.raises(KeyError):
        _break_off(connection)
    assert connection.execute("SELECT name FROM orders").fetchall() == []
    assert not connection.in_transaction
