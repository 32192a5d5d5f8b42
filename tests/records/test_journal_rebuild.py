"""Numbers are kept for what was made before, given downwards, and put in order in the end."""

import pytest

from watcher.records.journal import Entry, open_journal
from watcher.records.journal_rebuild import begin_rebuild, end_rebuild, rebuild_progress, write_rebuilt
from watcher.records.order_life import State


@pytest.fixture
def journal(tmp_path):
    journal = open_journal(tmp_path)
    yield journal
    journal.close()


def entry(number, day, state=State.DONE):
    since = f"2026-05-{day:02d}T10:00:00+02:00"
    return Entry(number=number, name=f"o{day}", key=f"o{day}", card="c", state=state, since=since, folder=f"o{day}")


def test_nothing_is_kept_where_nothing_was_made(journal):
    begin_rebuild(journal, 4, 0, [entry(4, 1, State.HELD)])
    assert rebuild_progress(journal) is None
    assert journal.last_number() == 4


def test_kept_numbers_count_as_given(journal):
    begin_rebuild(journal, 4, 10, ())
    assert journal.last_number() == 13
    assert rebuild_progress(journal).next == 13


def test_the_end_numbers_them_by_when_they_were_made_and_leaves_others_alone(journal):
    journal.write(entry(3, 30))
    begin_rebuild(journal, 4, 5, [entry(9, 29, State.HELD)])
    write_rebuilt(journal, [entry(8, 2), entry(7, 9), entry(6, 1)], 5)
    assert rebuild_progress(journal).done == 3
    end_rebuild(journal, rebuild_progress(journal))
    numbers = {one.folder: one.number for one in journal.in_state(State.DONE, State.HELD)}
    assert numbers == {"o1": 4, "o2": 5, "o9": 6, "o30": 3, "o29": 9}
    assert rebuild_progress(journal) is None
