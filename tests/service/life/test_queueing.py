"""Orders are queued again after a death, a fault or a pause, or alone when the service died with them."""

import errno
from dataclasses import replace

import pytest

from watcher.records.order_life import State
from watcher.records.trouble import WorkerTrouble
from watcher.service.life.cases import OrderCase
from watcher.service.life.making import Making
from watcher.service.life.queueing import (
    STARTS,
    died_too_often,
    hold_for_trouble,
    hold_next,
    is_first_death_in_a_run,
    is_its_own_trouble,
    is_not_the_disk,
    queue_alone,
    queue_first_and_pause,
    queue_to_be_held,
)


def entry(making: Making, case: OrderCase, run: str = "") -> OrderCase:
    return replace(case, then=State.TAKEN, entry=making.journal.entry(case.order, State.MAKING, art="f", run=run))


def test_a_full_disk_pauses_and_the_order_is_the_next_to_be_made(making: Making, taken: OrderCase):
    queue_first_and_pause(making, replace(taken, error=OSError(errno.ENOSPC, "no room", "archive/x")))
    assert making.next() == taken.order
    assert "the disk is full" in str(making.paused)


def test_a_fault_of_the_program_is_told_to_the_owner_by_its_kind_alone(making: Making, taken: OrderCase):
    hold_next(making, replace(taken, error=KeyError("secret")))
    order = making.next()
    assert order is not None
    assert order.fault == ("An internal fault (KeyError) kept this order from being made; service.log has more.")


@pytest.mark.parametrize(("number", "is_one_file"), [(errno.ENOSPC, False), (errno.EISDIR, True)])
def test_an_error_of_one_file_is_no_trouble_with_the_disk(
    making: Making, taken: OrderCase, number: int, is_one_file: bool
):
    assert is_not_the_disk(making, replace(taken, error=OSError(number, "x"))) is is_one_file


def test_an_order_with_which_the_service_died_is_made_alone(making: Making, taken: OrderCase):
    queue_alone(making, entry(making, taken))
    assert making.tried_alone == {taken.number}
    assert not making.runs.singly


def test_one_of_a_run_goes_back_to_its_run_once_and_then_is_made_singly(making: Making, taken: OrderCase):
    case = entry(making, taken, run="run-1")
    assert is_first_death_in_a_run(making, replace(case, deaths=1))
    assert not is_first_death_in_a_run(making, replace(case, deaths=2))
    queue_alone(making, replace(case, deaths=2))
    assert making.runs.singly == {taken.number}


def test_after_five_deaths_it_is_held_and_the_count_begins_anew(making: Making, taken: OrderCase):
    deaths = [making.shop.journal.count_service_death("f") for _ in range(STARTS)]
    case = replace(entry(making, taken), deaths=deaths[-1])
    assert died_too_often(making, case)
    queue_to_be_held(making, case)
    order = making.next()
    assert order is not None
    assert "The program died 5 times while it made this order (lantern_front.png, lantern_back.png)" in str(order.fault)
    assert making.shop.journal.count_service_death("f") == 1


def test_trouble_that_a_worker_tells_of_is_an_orders_own_when_others_are_finished_meanwhile(
    making: Making, taken: OrderCase
):
    """A file that has taken a worker over may say that the disk is full; before, nothing else was made any more."""
    case = replace(taken, error=WorkerTrouble("the disk is full"))
    assert not is_its_own_trouble(making, case)
    queue_first_and_pause(making, case)
    assert not is_its_own_trouble(making, case)
    making.made += 1
    assert is_its_own_trouble(making, case)
    assert not is_its_own_trouble(making, replace(case, error=OSError(errno.ENOSPC, "no room")))
    hold_for_trouble(making, case)
    held = making.next()
    assert held is not None
    assert "could not be made twice while other orders could: the disk is full" in (held.fault or "")


def test_an_order_in_trouble_comes_behind_the_others_until_one_is_finished(making: Making, taken: OrderCase):
    other = replace(taken.order, number=taken.number + 1, name="other", key="other")
    making.queue.add(other)
    queue_first_and_pause(making, replace(taken, error=WorkerTrouble("the disk is full")))
    assert (making.paused, making.next()) == (None, other)
    making.queue.take(other)
    queue_first_and_pause(making, replace(taken, number=other.number, claimed=other, error=WorkerTrouble("it is full")))
    assert making.paused == "it is full"
    making.made += 1
    assert making.next() == other  # the last that was begun
