"""Orders of a run that was not made wait for another, or are made singly; those that have ended do neither."""

from dataclasses import replace

from watcher.orders.claim import taking_folder
from watcher.orders.model import Order
from watcher.records.order_life import State
from watcher.records.trouble import WorkerTrouble
from watcher.service.life.cases import OrderCase, RunCase, run_of
from watcher.service.life.gang_waiting import is_its_own_trouble, let_wait_again, make_singly
from watcher.service.life.making import Making


def in_state(making: Making, case: OrderCase, state: State) -> Order:
    making.journal.remember(making.journal.entry(case.order, state, folder="lantern", art="f", run="run-1"))
    return case.order


def test_they_wait_again_with_their_art_and_without_a_run(making: Making, taken: OrderCase):
    let_wait_again(making, [in_state(making, taken, State.MAKING)])
    entry = making.shop.journal.find(taken.number)
    assert entry is not None
    assert (entry.state, entry.art, entry.folder, entry.run) == (State.SHARING, "f", "", "")
    assert making.runs.waiting == (taken.order,)


def test_one_that_is_held_waits_no_more(making: Making, taken: OrderCase):
    let_wait_again(making, [in_state(making, taken, State.HELD)])
    assert making.runs.waiting == ()


def test_they_are_made_singly_in_their_order(making: Making, taken: OrderCase):
    first = in_state(making, taken, State.MAKING)
    second = replace(first, number=first.number + 100, key="nova")
    make_singly(making, run_of([first, second]))
    assert [order.number for order in making.queue] == [first.number, second.number]
    assert making.runs.singly == {first.number, second.number}


def test_one_whose_art_is_archived_is_not_made_again(making: Making, taken: OrderCase):
    order = in_state(making, taken, State.DELIVERING)
    taking_folder(making.shop.archive, order.number).rename(making.shop.archive / "lantern")
    make_singly(making, run_of([order]))
    assert not making.queue


def test_trouble_that_a_worker_tells_of_is_a_runs_own_when_others_are_finished_meanwhile(making: Making, run: RunCase):
    case = replace(run, error=WorkerTrouble("the disk is full"))
    assert not is_its_own_trouble(making, case)
    making.note_trouble([order.number for order in run.orders])
    assert not is_its_own_trouble(making, case)
    making.made += 1
    assert is_its_own_trouble(making, case)
