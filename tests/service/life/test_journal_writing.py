"""The journal is written before an order is gone on with, or later where the folders tell the same."""

import errno

import pytest

from watcher.records.journal import Journal, JournalTrouble
from watcher.records.order_life import State
from watcher.service.life.cases import OrderCase
from watcher.service.life.making import Making


@pytest.fixture
def full(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """A journal that cannot be written; `undo` mends it."""

    def write(*_: object) -> None:
        raise JournalTrouble("the journal cannot be written: disk full")

    monkeypatch.setattr(Journal, "write", write)
    return monkeypatch


def test_what_must_be_known_before_an_order_is_gone_on_with_is_not_put_off(
    making: Making, taken: OrderCase, full: pytest.MonkeyPatch
):
    with pytest.raises(JournalTrouble):
        making.journal.write(making.journal.entry(taken.order, State.MAKING))
    assert making.journal.state_of(taken.number) is State.TAKEN


def test_what_the_folders_tell_too_is_written_later_and_nothing_goes_on_before(
    making: Making, taken: OrderCase, full: pytest.MonkeyPatch
):
    making.journal.remember(making.journal.entry(taken.order, State.HELD))
    assert making.journal.state_of(taken.number) is State.HELD
    making.journal.go_on()
    assert making.paused
    full.undo()
    making.journal.write_late()
    making.journal.go_on()
    assert making.paused is None
    written = making.shop.journal.find(taken.number)
    assert written is not None
    assert written.state is State.HELD


def test_an_order_that_went_back_to_the_inbox_has_no_state(making: Making, taken: OrderCase):
    making.journal.forget(taken.number)
    assert making.journal.state_of(taken.number) is None
    assert making.shop.journal.find(taken.number) is None


def test_after_the_second_death_over_the_same_art_the_count_begins_anew(making: Making):
    assert [making.journal.count_worker_death("f", "lantern", "it died") for _ in range(3)] == [1, 2, 1]


def test_a_pause_is_asked_about_again_after_a_while(making: Making):
    making.journal.pause(OSError(errno.ENOSPC, "full"))
    assert 0 < making.journal.next_try_in() <= 60
