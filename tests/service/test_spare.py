"""While every worker is at work on slow art, one more makes the small orders behind it, and no slow one keeps it."""

import shutil
from collections.abc import Iterator
from dataclasses import replace

import pytest

from tests.conftest import InlineWorker
from watcher.orders.claim import taking_folder
from watcher.records.order_life import State
from watcher.service.life.cases import OrderCase
from watcher.service.life.making import Making
from watcher.service.loop import Service
from watcher.service.scheduling import Scheduling
from watcher.service.spare import SET_BACK_S, SLOW_S
from watcher.work.answer import Answer
from watcher.work.contract import Worker


class Slow(InlineWorker):
    """Never has an answer."""

    def start(self, task: object, message: object) -> None:
        self.task = task

    def answer(self) -> Answer | None:
        return None


class Clock:
    """A steady clock that the test sets."""

    def __init__(self) -> None:
        self.now = 1000.0

    def monotonic(self) -> float:
        return self.now


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr("watcher.service.spare.time", clock)
    return clock


@pytest.fixture
def spare() -> Slow:
    return Slow()


@pytest.fixture
def scheduling(service: Service, making: Making, taken: OrderCase, spare: Slow, clock: Clock) -> Iterator[Scheduling]:
    """Three orders in the queue, and one worker that is slow."""
    making.workers = [Slow()]
    for number, name in enumerate(("lantern", "nova", "opal"), taken.number):
        order = replace(taken.order, number=number, name=name, key=name)
        if number != taken.number:
            archive = service.shop.archive
            shutil.copytree(taking_folder(archive, taken.number), taking_folder(archive, number))
            making.journal.write(making.journal.entry(order, State.TAKEN))
        making.queue.add(order)
    scheduling = Scheduling(making, lambda: spare)
    scheduling.step(start_new=True)
    yield scheduling
    for worker in making.workers:
        worker.stop()


def _order_of(worker: Worker | Slow) -> str | None:
    return worker.task.order.name if isinstance(worker.task, OrderCase) else None


def test_a_small_order_behind_a_slow_one_is_made_by_a_worker_more(scheduling, making, spare, clock):
    assert scheduling.next_step_in(clock.now) == 0.0  # the deadline of the stand-in is long past
    clock.now += SLOW_S - 1
    scheduling.step(start_new=True)
    assert len(making.workers) == 1
    clock.now += 1
    scheduling.step(start_new=True)
    assert [_order_of(worker) for worker in making.workers] == ["lantern", "nova"]


def test_one_that_is_slow_there_too_waits_for_the_others_and_the_next_one_has_its_turn(
    scheduling, making, spare, clock
):
    for wait_s in (SLOW_S, SET_BACK_S, 0.0):
        clock.now += wait_s
        scheduling.step(start_new=True)
    assert _order_of(spare) == "opal"
    assert [order.name for order in making.queue] == ["nova"]
    clock.now += 10 * SET_BACK_S  # what waits has been too slow before: it is no reason to stop the third
    scheduling.step(start_new=True)
    assert _order_of(spare) == "opal"


def test_it_ends_when_another_is_idle_and_a_slow_order_then_has_its_worker(scheduling, making, spare, clock):
    first = making.workers[0]
    for wait_s in (SLOW_S, SET_BACK_S, 0.0):
        clock.now += wait_s
        scheduling.step(start_new=True)
    spare.stop()
    first.stop()
    scheduling.step(start_new=True)
    assert making.workers == [first]
    assert _order_of(first) == "nova"


def test_without_a_spare_worker_orders_wait(making, scheduling, clock):
    plain = Scheduling(making)
    clock.now += 100.0
    plain.step(start_new=True)
    assert len(making.workers) == 1
