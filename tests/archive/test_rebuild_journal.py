"""A journal that is lost or damaged is made again from the archive and the held folders."""

import sqlite3
from pathlib import Path

import pytest

from tests.archive.archived_order import put_order
from watcher.archive.rebuild_journal import open_or_rebuild
from watcher.archive.rebuilding import Rebuilding
from watcher.orders.held_note import HeldNote, to_toml
from watcher.records.journal import FILE_NAME, Entry
from watcher.records.order_life import State
from watcher.settings.folders import FolderSettings

STAMP = "2026-05-04T10:11:12"


def open_whole(folders, **said):
    """Open the journal and bring back all that it knew."""
    state, archive, held = folders
    journal = open_or_rebuild(state, archive, held, STAMP, **said)
    there = {name: state.parent / name for name in ("inbox", "outbox", "held", "archive", "state")}
    rebuilding = Rebuilding(journal, FolderSettings(**there))
    while rebuilding.has_more:
        rebuilding.step()
    rebuilding.close()
    return journal


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path, Path]:
    """State, archive (moon was made before Sun; a third ticket is not whole) and held, where a star lies."""
    for name in ("state", "held/star", "outbox"):
        (tmp_path / name).mkdir(parents=True)
    for name, day in {"Sun": 2, "moon": 1, "part": 3}.items():
        said = {"up": 4, "sheets": 4 if name != "part" else 0, "order_sha256": f"art of {name}"}
        put_order(tmp_path / "archive", name, made_at=f"2026-05-0{day}T10:00:00+02:00", **said)
    note = HeldNote(
        order="Star", key="star", card="tag", inbox_folder="tag", folder="star", missing="", soft=True,
        since="2026-05-03T10:00:00+02:00", why="It is too small.", files=(), reasons=(),
    )  # fmt: skip
    (tmp_path / "held/star/held.toml").write_bytes(to_toml(note))
    return tmp_path / "state", tmp_path / "archive", tmp_path / "held"


def test_a_lost_one_is_made_again_oldest_first_above_what_is_on_its_way(folders):
    journal = open_whole(folders, first_number=7)
    told = [journal.find(number) for number in (7, 8, 10)]
    journal.close()
    assert [(one.name, one.key, one.state) for one in told if one] == [
        ("moon", "moon", State.DONE), ("Sun", "sun", State.DONE), ("Star", "star", State.HELD),
    ]  # fmt: skip
    assert (told[0].art, told[0].sheets, told[0].says) == ("art of moon", 4, "10 cards = 3 sheets, plus 1 spare")
    assert told[2].says == "It is too small."


def test_a_damaged_one_is_set_aside_and_made_again(folders):
    (folders[0] / FILE_NAME).write_bytes(b"this is no journal, " * 500)
    journal = open_whole(folders)
    assert [entry.name for entry in journal.finished_named("moon")] == ["moon"]
    journal.close()
    aside = folders[0] / f"damaged-2026-05-04T101112-{FILE_NAME}"
    assert aside.read_bytes().startswith(b"this is no journal, ")


def test_a_locked_one_is_not_taken_for_damaged(folders, monkeypatch):
    open_whole(folders).close()

    def refuse(_state):
        raise sqlite3.OperationalError("database is locked")

    monkeypatch.setattr("watcher.archive.rebuild_journal.open_journal", refuse)
    with pytest.raises(sqlite3.OperationalError, match="locked"):
        open_or_rebuild(*folders, STAMP)
    assert (folders[0] / FILE_NAME).exists()
    assert not list(folders[0].glob("damaged-*"))


def test_a_sound_one_is_kept_as_it_is(folders):
    journal = open_whole(folders)
    journal.forget(1)
    journal.write(Entry(number=1, name="new", key="new", card="tag", state=State.MAKING, since=STAMP))
    journal.close()
    journal = open_whole(folders)
    assert journal.find(1).name == "new"
    journal.close()
    assert not list(folders[0].glob("damaged-*"))
