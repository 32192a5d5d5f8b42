"""The journal keeps what was written to it, durably, and can be read while it is written."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from watcher.errors import ServiceStopped
from watcher.records import journal as journals
from watcher.records.journal import FILE_NAME, Entry, JournalTrouble, open_journal, read_journal
from watcher.records.order_life import State

SINCE = "2026-05-01T10:11:12+02:00"


def _entry(number: int = 1, state: State = State.TAKEN, **values: object) -> Entry:
    fields = {"name": "Lantern", "key": "lantern", "card": "invitation", "since": SINCE}
    return Entry(number=number, state=state, **{**fields, **values})


@pytest.fixture
def journal(tmp_path: Path):
    opened = open_journal(tmp_path)
    yield opened
    opened.close()


def _ask(state: Path, question: str):
    connection = sqlite3.connect(state / FILE_NAME)
    try:
        return connection.execute(question).fetchone()[0]
    finally:
        connection.close()


# -- what is written is found ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", State)
def test_every_state_comes_back_as_it_was(journal, state):
    entry = _entry(7, state, folder="Lantern-2", art="ab" * 32, sheets=26, says="50 cards = 25 sheets, plus 1 spare")
    journal.write(entry)
    assert journal.find(7) == entry


def test_an_order_has_one_entry_that_goes_on(journal):
    for state in (State.TAKEN, State.MAKING, State.DELIVERING, State.DONE):
        journal.write(_entry(1, state))
    assert journal.find(1) == _entry(1, State.DONE)
    assert len(journal.in_state(*State)) == 1


def test_what_was_not_written_is_not_found(journal):
    assert journal.find(1) is None
    assert journal.last_number() == 0


def test_forgetting_drops_one_order(journal):
    journal.write(_entry(1))
    journal.write(_entry(2))
    journal.forget(1)
    assert [entry.number for entry in journal.in_state(*State)] == [2]


def test_the_last_number_is_the_highest(journal):
    for number in (3, 12, 5):
        journal.write(_entry(number))
    assert journal.last_number() == 12


def test_orders_in_a_state_come_newest_first(journal):
    for number, state in enumerate([State.DONE, State.HELD, State.TAKEN, State.DONE], start=1):
        journal.write(_entry(number, state))
    assert [entry.number for entry in journal.in_state(State.DONE, State.HELD)] == [4, 2, 1]
    assert [entry.number for entry in journal.in_state(State.DONE, State.HELD, newest=2)] == [4, 2]


def test_finished_orders_are_found_by_their_art_and_by_their_name(journal):
    journal.write(_entry(1, State.DONE, art="a", key="lantern"))
    journal.write(_entry(2, State.DONE, art="a", key="moon"))
    journal.write(_entry(3, State.SAME, art="a", key="lantern"))
    journal.write(_entry(4, State.DONE, art="b", key="lantern"))
    assert [entry.number for entry in journal.finished_with_fingerprint("a")] == [2, 1]
    assert [entry.number for entry in journal.finished_named("lantern")] == [4, 1]


def test_values_are_never_taken_for_questions(journal):
    name = "'); DROP TABLE orders; --"
    journal.write(_entry(1, State.DONE, name=name, key=name))
    assert journal.finished_named(name) == [_entry(1, State.DONE, name=name, key=name)]


def test_names_that_are_no_text_are_kept_readable_and_found(journal):
    """SQLite stores UTF-8; a byte that is none is written out."""
    key = os.fsdecode(b"caf\xe9")
    journal.write(_entry(1, State.DONE, name=key, key=key))
    (entry,) = journal.finished_named(key)
    assert entry.name == r"caf\udce9"


# -- durable, and read while it is written -----------------------------------------------------------------------------


def test_the_settings_are_those_of_a_durable_journal(journal, tmp_path):
    """sqlite.org/pragma.html#pragma_synchronous: in WAL mode only FULL (2) flushes at every commit."""
    assert journal._connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    assert journal._connection.execute("PRAGMA synchronous").fetchone() == (2,)
    assert journal._connection.execute("PRAGMA busy_timeout").fetchone() == (5000,)
    assert _ask(tmp_path, "PRAGMA integrity_check") == "ok"


def test_a_write_that_fails_half_way_leaves_what_was(journal):
    journal.write(_entry(1))
    with pytest.raises(sqlite3.Error):
        journal.write(_entry(1, sheets=None))
    journal.write(_entry(2))  # no transaction is left open
    assert journal.find(1) == _entry(1)


def test_what_was_written_outlives_a_kill(tmp_path):
    script = f"""
import os, signal, sys
from pathlib import Path
from watcher.records.journal import JournalTrouble, Entry, open_journal
from watcher.records.order_life import State
journal = open_journal(Path({str(tmp_path)!r}))
journal.write(Entry(number=1, name="a", key="a", card="c", state=State.DONE, since="s"))
os.kill(os.getpid(), signal.SIGKILL)
"""
    subprocess.run(
        [sys.executable, "-c", script], check=False, env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    )
    journal = open_journal(tmp_path)
    assert journal.find(1).state is State.DONE
    journal.close()


def test_it_is_read_while_it_is_written(journal, tmp_path):
    journal.write(_entry(1))
    journal._connection.execute("BEGIN IMMEDIATE")
    journal._connection.execute("DELETE FROM orders")
    reader = read_journal(tmp_path)
    assert [entry.number for entry in reader.in_state(State.TAKEN)] == [1]
    reader.close()
    journal._connection.execute("ROLLBACK")


def test_it_is_written_while_it_is_read(journal, tmp_path):
    journal.write(_entry(1))
    reader = read_journal(tmp_path)
    reader._connection.execute("BEGIN")
    assert reader.last_number() == 1
    journal.write(_entry(2))
    assert (reader.last_number(), journal.last_number()) == (1, 2)
    reader.close()


def test_a_reader_changes_nothing(journal, tmp_path):
    reader = read_journal(tmp_path)
    with pytest.raises(JournalTrouble, match="readonly"):
        reader.write(_entry(1))
    reader.close()


def test_it_is_read_when_no_service_runs(tmp_path):
    journal = open_journal(tmp_path)
    journal.write(_entry(1))
    journal.close()
    reader = read_journal(tmp_path)
    assert reader.find(1) == _entry(1)
    reader.close()


def test_where_there_is_none_yet_nothing_is_made(tmp_path):
    assert read_journal(tmp_path) is None
    assert list(tmp_path.iterdir()) == []


# -- made and brought up to date ---------------------------------------------------------------------------------------


def test_an_empty_file_becomes_a_journal(tmp_path):
    """A first start that was cut short leaves one."""
    (tmp_path / FILE_NAME).touch()
    assert read_journal(tmp_path) is None
    journal = open_journal(tmp_path)
    journal.write(_entry(1))
    journal.close()
    assert _ask(tmp_path, "PRAGMA user_version") == len(journals._MIGRATIONS)


def test_opening_again_keeps_everything(tmp_path):
    for _ in range(2):
        journal = open_journal(tmp_path)
        journal.write(_entry(journal.last_number() + 1))
        journal.close()
    assert _ask(tmp_path, "SELECT count(*) FROM orders") == 2


def test_only_what_is_missing_is_migrated(tmp_path, monkeypatch):
    journal = open_journal(tmp_path)
    journal.write(_entry(1))
    journal.close()
    monkeypatch.setattr(journals, "_MIGRATIONS", (*journals._MIGRATIONS, "CREATE TABLE more (a INTEGER) STRICT;"))
    journal = open_journal(tmp_path)
    assert journal.find(1) == _entry(1)
    journal.close()
    assert _ask(tmp_path, "SELECT count(*) FROM more") == 0
    assert _ask(tmp_path, "PRAGMA user_version") == len(journals._MIGRATIONS)


def test_an_order_of_an_earlier_version_is_part_of_no_run(tmp_path, monkeypatch):
    """The column for the run came with the third version."""
    with monkeypatch.context() as earlier:
        earlier.setattr(journals, "_MIGRATIONS", journals._MIGRATIONS[:2])
        open_journal(tmp_path).close()
    connection = sqlite3.connect(tmp_path / FILE_NAME)
    values = (1, "Lantern", "lantern", "invitation", "taken", SINCE, "", "", 0, "")
    connection.execute("INSERT INTO orders VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", values)
    connection.commit()
    connection.close()
    for opener in (read_journal, open_journal, read_journal):
        journal = opener(tmp_path)
        assert journal.find(1) == _entry(1)
        journal.close()


def test_the_name_of_a_run_is_known_for_ever(journal):
    journal.write(_entry(1, State.DONE, run="run-2026-11-25"))
    assert journal.knows_run("run-2026-11-25")
    assert not journal.knows_run("run-2026-11-26")
    assert not journal.knows_run("")


def test_a_migration_that_fails_is_undone_whole(tmp_path, monkeypatch):
    open_journal(tmp_path).close()
    before = len(journals._MIGRATIONS)
    bad = "CREATE TABLE more (a INTEGER); CREATE TABLE more (a INTEGER);"
    monkeypatch.setattr(journals, "_MIGRATIONS", (*journals._MIGRATIONS, bad))
    with pytest.raises(sqlite3.Error):
        open_journal(tmp_path)
    assert _ask(tmp_path, "SELECT count(*) FROM sqlite_master WHERE name = 'more'") == 0
    assert _ask(tmp_path, "PRAGMA user_version") == before


def test_a_journal_of_a_newer_version_is_not_touched(tmp_path):
    """Nor taken for a damaged one, which would be made again from the folders."""
    open_journal(tmp_path).close()
    connection = sqlite3.connect(tmp_path / FILE_NAME)
    connection.execute("PRAGMA user_version = 99")
    connection.close()
    with pytest.raises(ServiceStopped, match=r"journal\.sqlite was written by a newer version"):
        open_journal(tmp_path)


def test_a_damaged_file_is_said(tmp_path):
    (tmp_path / FILE_NAME).write_bytes(b"this is no database, whatever its name may say" * 100)
    with pytest.raises(sqlite3.DatabaseError, match="not a database"):
        open_journal(tmp_path)
