"""How far a journal is that was lost is said where people look."""

import sqlite3

from watcher.records.journal import FILE_NAME, Entry, open_journal
from watcher.records.journal_rebuild import begin_rebuild, end_rebuild, rebuild_progress, write_rebuilt
from watcher.records.order_life import State
from watcher.status.rebuilding import rebuilding_note


def test_it_is_said_until_all_is_known_again(tmp_path):
    assert rebuilding_note(tmp_path) is None
    journal = open_journal(tmp_path)
    begin_rebuild(journal, 5, 1200, ())
    entry = Entry(number=1204, name="a", key="a", card="c", state=State.DONE, since="2026-05-04T10:00:00+02:00")
    write_rebuilt(journal, [entry], 1203)
    assert rebuilding_note(tmp_path) == (
        "What was made before is being read again from the archive: 1 of 1,200 orders. New orders are taken meanwhile."
    )
    end_rebuild(journal, rebuild_progress(journal))
    assert rebuilding_note(tmp_path) is None
    journal.close()


def test_of_a_journal_that_cannot_be_read_nothing_is_said(tmp_path):
    (tmp_path / FILE_NAME).write_bytes(b"this is no journal, " * 500)
    assert rebuilding_note(tmp_path) is None


def test_a_journal_of_an_earlier_version_has_nothing_to_say(tmp_path):
    open_journal(tmp_path).close()
    with sqlite3.connect(tmp_path / FILE_NAME) as earlier:
        earlier.execute("DROP TABLE rebuild")
        earlier.execute("PRAGMA user_version = 3")
    earlier.close()
    assert rebuilding_note(tmp_path) is None
