"""The journal deleted, damaged or swept away while the service is at work, and orders that a crash left in it."""

import json
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.errors import AlreadyRunning
from watcher.records.order_life import State
from watcher.service.lock import take_lock
from watcher.steps import Step

Drop = Callable[..., None]


class Crash(BaseException):
    """The power goes."""


@pytest.fixture
def crash_at(driven, monkeypatch: pytest.MonkeyPatch) -> Callable[[Step], None]:
    """Go on until this step, and die there; nothing is tidied up."""

    def crash(at: Step) -> None:
        def reached(step: Step) -> None:
            if step is at:
                raise Crash

        with monkeypatch.context() as patch:
            patch.setattr("watcher.steps.at_step", reached)
            with pytest.raises(Crash):
                driven.go_on(60)
        driven.service.shop.journal.close()
        driven.service._let_go()

    return crash


def delete_file(state: Path) -> None:
    for file in state.glob("journal.sqlite*"):
        file.unlink()


def delete_folder(state: Path) -> None:
    shutil.rmtree(state)
    state.mkdir()


@pytest.mark.parametrize("delete", [delete_file, delete_folder])
def test_a_journal_deleted_at_work_is_made_again_and_nothing_is_made_twice(
    driven, drop_pair: Drop, delete: Callable[[Path], None]
) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox", "one")
    driven.go_on(20)
    delete(driven.folder / "state")
    drop_pair(driven.folder / "inbox", "two")
    driven.go_on(20)
    driven.service.stop()
    driven.start()
    for name in ("one", "two"):
        drop_pair(driven.folder / "inbox", name)
    driven.go_on(20)
    assert driven.orders == ["one", "two"]
    assert sum("the same art again" in line for line in driven.log) == 2


def test_a_journal_deleted_while_an_order_is_in_hand(driven, drop_pair: Drop) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox", "one")
    driven.go_on(20)
    drop_pair(driven.folder / "inbox", "two")
    driven.step_until_begun()
    delete_file(driven.folder / "state")
    driven.go_on(20)
    drop_pair(driven.folder / "inbox", "two")
    driven.go_on(20)
    assert driven.orders == ["one", "two"]
    made = driven.service.shop.journal.in_state(State.DONE)
    assert sorted(entry.folder for entry in made) == ["one", "two"]


def test_a_journal_damaged_at_work_is_made_again(driven, drop_pair: Drop) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox", "one")
    driven.go_on(20)
    file = driven.folder / "state/journal.sqlite"
    driven.service.shop.journal._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    file.write_bytes(file.read_bytes()[:4096] + bytes(range(256)) * (file.stat().st_size // 256))
    drop_pair(driven.folder / "inbox", "two")
    driven.go_on(60)
    drop_pair(driven.folder / "inbox", "one")
    driven.go_on(20)
    assert driven.orders == ["one", "two"]
    assert (driven.held, driven.left_lying()) == ([], [])


def test_when_another_instance_took_over_meanwhile_this_one_ends(driven) -> None:
    driven.start()
    delete_folder(driven.folder / "state")
    with take_lock(driven.folder / "state"), pytest.raises(AlreadyRunning):
        driven.go_on(20)


def test_an_order_whose_delivery_was_whole_when_the_power_went_is_known_at_the_next_start(
    driven, drop_pair: Drop, crash_at
) -> None:
    """Before: it stayed "being delivered" for ever, and the same art made it again."""
    driven.start()
    drop_pair(driven.folder / "inbox")
    crash_at(Step.FORGOTTEN)
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.go_on(20)
    assert driven.orders == ["lantern"]
    assert driven.service.shop.journal.in_state(State.TAKEN, State.MAKING, State.DELIVERING) == []
    assert [line.partition(":")[2].strip()[:13] for line in driven.log] == ["made: 1 card ", "the same art "]


def test_an_order_that_was_held_when_the_power_went_is_not_shown_as_being_made(
    driven, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox", size=(100, 138))

    def die(*_: object) -> None:
        raise Crash

    with monkeypatch.context() as patch:
        journal = driven.service.making.journal
        patch.setattr(journal, "remember", _only_taken(journal.remember, die))
        with pytest.raises(Crash):
            driven.go_on(60)
    driven.service.shop.journal.close()
    driven.service._let_go()
    driven.start()
    driven.go_on(20)
    assert driven.held == ["lantern"]
    assert driven.service.shop.journal.in_state(State.TAKEN, State.MAKING, State.DELIVERING) == []


def _only_taken(real: Callable, otherwise: Callable) -> Callable:
    return lambda entry: real(entry) if entry.state is State.TAKEN else otherwise(entry)


def test_a_journal_lost_together_with_the_power_forgets_no_order_over_the_number_of_another(
    driven, drop_pair: Drop, crash_at
) -> None:
    """Before: the orders read from the archive were numbered from 1, and the one in hand took the place of one."""
    driven.start()
    for name in ("one", "two"):
        drop_pair(driven.folder / "inbox", name)
        driven.go_on(20)
    driven.service.stop()
    delete_file(driven.folder / "state")
    driven.start()
    drop_pair(driven.folder / "inbox", "three")
    crash_at(Step.BEGUN)
    [note] = (driven.folder / "archive").glob(".taking-*.json")
    number = int(note.stem.partition("-")[2])
    for file in (note, note.with_suffix("")):  # as if it had been the second order of all
        file.rename(file.with_name(file.name.replace(str(number), "2")))
    renumber(driven.folder / "archive/.taking-2.json", 2)
    delete_file(driven.folder / "state")
    driven.start()
    driven.go_on(20)
    for name in ("one", "two", "three"):
        drop_pair(driven.folder / "inbox", name)
        driven.go_on(20)
    assert driven.orders == ["one", "three", "two"]


def renumber(note: Path, number: int) -> None:
    body = json.loads(note.read_text())
    note.write_text(json.dumps({**body, "number": number}))


def test_a_power_cut_during_a_pause_makes_each_order_once(driven, disk, drop_pair: Drop) -> None:
    outbox = disk(driven.folder / "outbox")
    driven.start()
    outbox.fill(but=20_000)
    for name in ("one", "two", "three"):
        drop_pair(driven.folder / "inbox", name)
    driven.go_on(30)
    assert driven.service.making.paused
    driven.service.shop.journal.close()
    driven.service._let_go()
    outbox.make_room()
    driven.start()
    driven.go_on(60)
    assert driven.orders == ["one", "three", "two"]
    assert (driven.left_lying(), driven.inbox, driven.held) == ([], [], [])


def test_a_start_on_a_full_disk_ends_with_a_plain_line(driven, disk) -> None:
    """Whoever supervises the service starts it again."""
    state = disk(driven.folder / "state", "1m")
    state.fill()
    with pytest.raises(Exception, match="print folder cannot be used"):
        driven.start()
    state.make_room()
    driven.start()


def test_reading_a_closed_journal_is_trouble_and_no_fault_of_an_order(driven) -> None:
    driven.start()
    driven.service.shop.journal.close()
    with pytest.raises(OSError, match="the notes of what was made cannot be read"):
        driven.service.shop.journal.finished_named("lantern")
    with pytest.raises(sqlite3.ProgrammingError):
        driven.service.shop.journal._connection.execute("SELECT 1")
