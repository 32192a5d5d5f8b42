"""A disk that is full, wherever and whenever: the service waits, and goes on by itself when there is room again."""

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.long_form import LONG
from watcher.records.journal import Journal, JournalTrouble

Drop = Callable[..., None]


def assert_made_once(driven) -> None:
    assert driven.orders == ["lantern"]
    assert sorted(path.name for path in (driven.folder / "archive").iterdir()) == ["lantern"]
    names = {file.name.removeprefix("lantern") for file in (driven.folder / "outbox/lantern").iterdir()}
    assert {"_sheets.pdf", "_instructions.pdf", "_preview.png", "_ticket.toml"} <= names
    assert (driven.left_lying(), driven.inbox) == ([], [])
    assert sum(line.startswith("lantern: made:") for line in driven.log) == 1


# -- real disks --------------------------------------------------------------------------------------------------------


def test_no_room_for_the_sheets(driven, disk, drop_pair: Drop) -> None:
    outbox = disk(driven.folder / "outbox")
    driven.start()
    outbox.fill(but=20_000)
    drop_pair(driven.folder / "inbox")
    driven.go_on(20)
    assert "the disk is full" in driven.service.making.paused
    assert "outbox" in driven.service.making.paused
    assert [path.name for path in outbox.folder.iterdir() if path.is_dir()] == []  # nothing half, nothing in the way
    outbox.make_room()
    driven.go_on(10)
    assert_made_once(driven)
    assert driven.pauses == ["paused", "going on"]


def test_no_room_to_copy_the_art_in(driven, disk, drop_pair: Drop) -> None:
    archive = disk(driven.folder / "archive")
    driven.start()
    archive.fill(but=8192)
    drop_pair(driven.folder / "inbox")
    before = driven.inbox
    driven.go_on(20)
    assert driven.inbox == before
    assert driven.left_lying() == []
    assert "the disk is full" in driven.service.trouble
    archive.make_room()
    driven.go_on(20)
    assert_made_once(driven)
    assert driven.pauses == ["paused", "going on"]


def test_no_room_for_what_is_held(driven, disk, drop_pair: Drop) -> None:
    held = disk(driven.folder / "held")
    driven.start()
    held.fill()
    drop_pair(driven.folder / "inbox", "bad", size=(100, 138))
    drop_pair(driven.folder / "inbox", "good")
    driven.go_on(20)
    assert "the disk is full" in driven.service.making.paused
    held.make_room()
    driven.go_on(20)
    assert (driven.held, driven.orders) == (["bad"], ["good"])
    assert sorted(file.name for file in (held.folder / "bad").iterdir()) == [
        *("bad_back.png", "bad_front.png", "bad_why.png", "held.toml", "why.txt"),
    ]
    assert driven.pauses == ["paused", "going on"]
    assert driven.left_lying() == []


def test_no_room_for_the_journal(driven, disk, drop_pair: Drop) -> None:
    state = disk(driven.folder / "state")
    driven.start()
    state.fill()
    for name in ("lantern", "comet", "nova"):
        drop_pair(driven.folder / "inbox", name)
    driven.go_on(60)
    if driven.service.making.paused:  # the journal's own file may have held some room still
        assert "the notes of what was made cannot be written" in driven.service.making.paused
    state.make_room()
    driven.go_on(60)
    assert driven.orders == ["comet", "lantern", "nova"]
    assert driven.pauses in ([], ["paused", "going on"])
    assert driven.left_lying() == []


def test_a_log_on_a_full_disk_loses_no_line_and_has_no_half_one(driven, disk) -> None:
    outbox = disk(driven.folder / "outbox", "64k")
    driven.start()
    outbox.fill(but=4096)
    said = [f"{number} {'x' * 300}" for number in range(30)]
    for line in said:
        driven.service.shop.log.add(line)
    assert 0 < len(driven.log) < 30
    outbox.make_room()
    driven.step()
    assert driven.log == said


# -- a disk that fills up at any moment --------------------------------------------------------------------------------


def _from_the_nth(most: int) -> list[int]:
    return [*range(1, most + 1)] if LONG else [*range(1, most + 1, 4)]


@pytest.mark.parametrize("at", _from_the_nth(19))
def test_a_disk_that_is_full_from_the_nth_flush_on(driven, failing, drop_pair: Drop, at: int) -> None:
    """Every file that matters is flushed: this goes through all of them, from the claim to the log."""
    driven.start()
    drop_pair(driven.folder / "inbox")
    full = failing(os, "fsync", at)
    driven.go_on(40)
    full.mend()
    driven.go_on()
    assert_made_once(driven)
    assert driven.pauses in ([], ["paused", "going on"])


@pytest.mark.parametrize("at", _from_the_nth(12))
def test_a_disk_that_is_locked_from_the_nth_rename_on(driven, failing, drop_pair: Drop, at: int) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    locked = failing(Path, "rename", at, errno.EROFS)
    driven.go_on(40)
    locked.mend()
    driven.go_on()
    assert_made_once(driven)
    assert driven.pauses in ([], ["paused", "going on"])


@pytest.mark.parametrize("at", _from_the_nth(15))
def test_a_held_order_on_a_disk_that_is_full_from_the_nth_flush_on(driven, failing, drop_pair: Drop, at: int) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox", size=(100, 138))
    full = failing(os, "fsync", at)
    driven.go_on(40)
    full.mend()
    driven.go_on()
    assert (driven.held, driven.orders, driven.left_lying(), driven.inbox) == (["lantern"], [], [], [])
    assert (driven.folder / "held/lantern/why.txt").exists()


@pytest.mark.parametrize("at", [1, 2, 3, 4])
def test_a_journal_that_cannot_be_written_from_the_nth_time_on(
    driven, monkeypatch: pytest.MonkeyPatch, drop_pair: Drop, at: int
) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    real, calls, full = Journal.write, [], [True]

    def write(journal: Journal, entry: object) -> None:
        calls.append(entry)
        if full[0] and len(calls) >= at:
            raise JournalTrouble("the journal cannot be written: database or disk is full")
        real(journal, entry)

    monkeypatch.setattr(Journal, "write", write)
    driven.go_on(40)
    full[0] = False
    driven.go_on()
    assert_made_once(driven)
    assert driven.service.shop.journal.finished_named("lantern")
    assert driven.pauses in ([], ["paused", "going on"])
