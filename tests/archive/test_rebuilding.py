"""What a lost journal knew comes back a few orders at a time; what a new order is compared with comes first."""

from pathlib import Path

import pytest
import tomli_w

from watcher.archive.rebuild_journal import open_or_rebuild
from watcher.archive.rebuilding import Rebuilding
from watcher.records.journal import FILE_NAME, Entry, open_journal
from watcher.records.journal_rebuild import rebuild_progress
from watcher.records.order_life import State
from watcher.settings.folders import FolderSettings

STAMP = "2026-05-04T10:11:12"
FIRST = 7
ALL = [f"o{day}" for day in range(1, 9)]


def put(folder: Path, day: int, **said: object) -> None:
    """Put an order of that day into the archive."""
    ticket = {
        "order": folder.name, "name": folder.name.removesuffix("-2"), "card": "tag", "quantity": 10, "overs": 0,
        "up": 4, "sheets": 3, "made_at": f"2026-05-{day:02d}T10:00:00+02:00", "order_sha256": f"art of {folder.name}",
        "sheet": {"name": "a4", "width_mm": 210.0, "height_mm": 297.0}, "art": [],
    }  # fmt: skip
    folder.mkdir(parents=True)
    (folder / f"{folder.name}_ticket.toml").write_text(tomli_w.dumps(ticket | said))


@pytest.fixture
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FolderSettings:
    """An archive of eight orders, put there in another order than they were made; one is read at a time."""
    monkeypatch.setattr("watcher.archive.rebuilding.AT_A_TIME", 1)
    names = ("inbox", "outbox", "held", "archive", "state")
    for name in names:
        (tmp_path / name).mkdir()
    for day in (5, 3, 8, 1, 7, 2, 6, 4):
        put(tmp_path / f"archive/o{day}", day)
    return FolderSettings(**{name: tmp_path / name for name in names})


def lose(folders: FolderSettings):
    """A journal that was lost is begun anew; one that was begun goes on."""
    return open_or_rebuild(folders.state, folders.archive, folders.held, STAMP, FIRST)


def finish(rebuilding: Rebuilding) -> None:
    while rebuilding.has_more:
        rebuilding.step()
    rebuilding.close()


def made(journal) -> list[str]:
    return [entry.folder for entry in reversed(journal.in_state(State.DONE))]


def test_it_says_how_far_it_is(folders):
    journal = lose(folders)
    rebuilding = Rebuilding(journal, folders)
    for _ in range(3):
        rebuilding.step()
    progress = rebuild_progress(journal)
    assert (progress.done, progress.of_all) == (3, 8)
    assert rebuilding.is_for_journal
    rebuilding.close(), journal.close()


def test_in_the_end_they_are_numbered_as_they_were_made(folders):
    journal = lose(folders)
    finish(Rebuilding(journal, folders))
    assert made(journal) == ALL
    assert (journal.find(FIRST).folder, journal.find(FIRST + 7).folder) == ("o1", "o8")
    assert rebuild_progress(journal) is None
    journal.close()


def test_what_lies_in_the_outbox_is_known_at_once(folders):
    """Alone, and as a part of a gang run."""
    (folders.outbox / "o3").mkdir()
    (folders.outbox / "run-2026-05-06").mkdir()
    (folders.outbox / "run-2026-05-06/o6_ticket.toml").touch()
    (folders.outbox / "log.txt").touch()
    journal = lose(folders)
    Rebuilding(journal, folders).close()
    assert sorted(made(journal)) == ["o3", "o6"]
    journal.close()


def test_what_was_made_under_a_name_is_brought_forward(folders):
    put(folders.archive / "spring", 9)
    put(folders.archive / "spring-2", 10)
    journal = lose(folders)
    rebuilding = Rebuilding(journal, folders)
    rebuilding.bring_forward(["Spring"])
    assert sorted(entry.folder for entry in journal.finished_named("spring")) == ["spring", "spring-2"]
    assert len(made(journal)) == 2
    rebuilding.close(), journal.close()


def test_an_order_with_a_number_for_a_name_brings_no_others_forward(folders):
    for number in (1, 3, 7):
        put(folders.archive / f"order-{number}", 9, name=f"order-{number}")
    journal = lose(folders)
    rebuilding = Rebuilding(journal, folders)
    rebuilding.bring_forward(["order-3"])
    assert made(journal) == ["order-3"]
    rebuilding.close(), journal.close()


def test_new_orders_are_numbered_above_those_of_before_meanwhile(folders):
    journal = lose(folders)
    rebuilding = Rebuilding(journal, folders)
    rebuilding.step()
    number = journal.last_number() + 1
    journal.write(Entry(number=number, name="new", key="new", card="tag", state=State.DONE, since=STAMP, folder="new"))
    finish(rebuilding)
    assert made(journal) == [*ALL, "new"]
    assert number == FIRST + 8
    journal.close()


@pytest.mark.parametrize("steps", range(9))
def test_a_crash_in_between_loses_nothing_and_doubles_nothing(folders, steps):
    journal = lose(folders)
    rebuilding = Rebuilding(journal, folders)
    for _ in range(steps):
        rebuilding.step()
    rebuilding.close(), journal.close()  # what was written outlives a kill: tests/records/test_journal.py
    journal = lose(folders)
    finish(Rebuilding(journal, folders))
    assert made(journal) == ALL
    assert journal.last_number() == FIRST + 7
    journal.close()


def test_an_order_that_was_made_in_between_is_not_written_twice(folders):
    journal = lose(folders)
    rebuilding = Rebuilding(journal, folders)
    journal.write(Entry(number=90, name="o1", key="o1", card="tag", state=State.DONE, since=STAMP, folder="o1"))
    finish(rebuilding)
    assert [entry.number for entry in journal.finished_named("o1")] == [90]
    journal.close()


def test_what_cannot_be_read_and_what_comes_later_does_not_keep_it_from_its_end(folders):
    put(folders.archive / "odd", 9, sheets=-1)
    journal = lose(folders)
    for day in range(11, 15):  # copied in by hand, after the numbers were kept
        put(folders.archive / f"o{day}", day)
    finish(Rebuilding(journal, folders))
    assert len(made(journal)) == 9  # numbers for eight and one that cannot be read
    assert min(entry.number for entry in journal.in_state(State.DONE)) == FIRST
    journal.close()


def test_with_a_journal_that_is_whole_only_lists_are_made_ready(folders):
    """Of yesterday's version, say: it has its entries, and no ticket has been remembered."""
    journal = open_journal(folders.state)
    rebuilding = Rebuilding(journal, folders)
    assert (rebuilding.has_more, rebuilding.is_for_journal) == (True, False)
    finish(rebuilding)
    assert made(journal) == []
    again = Rebuilding(journal, folders)
    assert not again.has_more
    again.close(), journal.close()


def test_a_lost_journal_beside_known_tickets_opens_none(folders, monkeypatch):
    journal = lose(folders)
    finish(Rebuilding(journal, folders))
    journal.close()
    for file in folders.state.glob(f"{FILE_NAME}*"):
        file.unlink()
    monkeypatch.setattr("watcher.archive.ticket_row.read_ticket_file", lambda _: pytest.fail("a ticket was opened"))
    journal = lose(folders)
    finish(Rebuilding(journal, folders))
    assert made(journal) == ALL
    journal.close()
