"""Whose turn comes next: workers that never end by themselves, so that a test says when and how one does."""

import errno
import shutil
from dataclasses import replace
from types import SimpleNamespace

import pytest

from tests.conftest import InlineWorker
from watcher.orders.claim import taking_folder
from watcher.records.order_life import State
from watcher.service.life.cases import OrderCase
from watcher.service.life.making import Making
from watcher.service.loop import Service
from watcher.service.memory_budget import MemoryBudget
from watcher.service.scheduling import IDLE_S, Scheduling
from watcher.terms import Finding, Level
from watcher.work.answer import Answer

BLURRED = Answer(reasons=(Finding(level=Level.HOLD, code="low-resolution", message="It is blurred."),))
FULL = OSError(errno.ENOSPC, "no room", "archive/x")


class Waiting(InlineWorker):
    """Has an answer when the test has put one here."""

    said: Answer | None = None

    def start(self, task: object, message: object) -> None:
        self.task = task

    def answer(self) -> Answer | None:
        if self.said is None:
            return None
        self.task = None
        return self.said


@pytest.fixture
def workers(making: Making) -> list[Waiting]:
    workers = [Waiting(), Waiting()]
    making.workers = workers
    return workers


@pytest.fixture
def scheduling(service: Service, workers: list[Waiting], taken: OrderCase) -> Scheduling:
    """Two orders in the queue, two workers that are idle."""
    archive, nova = service.shop.archive, replace(taken.order, number=taken.number + 100, name="nova", key="nova")
    shutil.copytree(taking_folder(archive, taken.number), taking_folder(archive, nova.number))
    service.making.journal.write(service.making.journal.entry(nova, State.TAKEN))
    for order in (taken.order, nova):
        service.making.queue.add(order)
    return service.scheduling


def at_work(workers: list[Waiting]) -> list[str]:
    return [worker.task.order.name for worker in workers if isinstance(worker.task, OrderCase)]


def test_each_idle_worker_is_given_an_order_unless_the_service_stops(scheduling: Scheduling, workers: list[Waiting]):
    assert not scheduling.step(start_new=False)
    assert at_work(workers) == []
    assert not scheduling.step(start_new=True)
    assert at_work(workers) == ["lantern", "nova"]
    assert not scheduling.is_idle


def test_an_answer_ends_an_order_and_the_worker_is_idle_again(scheduling: Scheduling, workers: list[Waiting]):
    scheduling.step(start_new=True)
    workers[0].said = BLURRED
    assert scheduling.step(start_new=True)
    assert at_work(workers) == ["nova"]


def test_during_a_pause_one_order_alone_is_tried_and_the_pause_ends_when_it_goes_well(
    scheduling: Scheduling, making: Making, workers: list[Waiting], monkeypatch: pytest.MonkeyPatch
):
    making.journal.pause(FULL)
    monkeypatch.setattr(making.journal, "is_time_to_try", lambda: False)
    scheduling.step(start_new=True)
    assert at_work(workers) == []
    monkeypatch.setattr(making.journal, "is_time_to_try", lambda: True)
    for _ in range(2):
        scheduling.step(start_new=True)
        assert at_work(workers) == ["lantern"]
    workers[0].said = BLURRED
    scheduling.step(start_new=True)
    assert making.paused is None
    assert at_work(workers) == ["nova"]


def test_a_try_that_fails_leaves_the_pause(
    scheduling: Scheduling, making: Making, workers: list[Waiting], monkeypatch: pytest.MonkeyPatch
):
    making.journal.pause(FULL)
    monkeypatch.setattr(making.journal, "is_time_to_try", lambda: True)
    scheduling.step(start_new=True)
    workers[0].said = Answer(trouble="the disk is full")
    scheduling.step(start_new=False)
    assert making.paused == "the disk is full"
    assert [order.name for order in making.queue] == ["lantern", "nova"]


def test_the_next_step_is_due_when_the_first_worker_has_had_its_time(scheduling: Scheduling, workers: list[Waiting]):
    assert scheduling.next_step_in(0.0) is None
    for worker, deadline in zip(workers, (30.0, 20.0), strict=True):
        worker.task, worker.deadline = "busy", deadline
    assert scheduling.next_step_in(15.0) == 5.0
    assert scheduling.next_step_in(25.0) == 0.0
    for worker in workers:
        worker.stop()


def test_workers_without_work_end_after_a_while_and_begin_anew_with_the_next_order(
    scheduling: Scheduling, workers: list[Waiting], monkeypatch: pytest.MonkeyPatch
):
    now, ended = [1000.0], []
    monkeypatch.setattr("watcher.service.spare.time", SimpleNamespace(monotonic=lambda: now[0]))
    for worker in workers:
        monkeypatch.setattr(worker, "stop", lambda: ended.append(now[0]))
    scheduling.step(start_new=True)
    for worker in workers:
        worker.said = BLURRED
    scheduling.step(start_new=True)
    assert scheduling.next_step_in(now[0]) == IDLE_S
    now[0] += IDLE_S - 1
    scheduling.step(start_new=True)
    assert ended == []
    now[0] += 1
    scheduling.step(start_new=True)
    assert ended == [now[0]] * 2
    assert scheduling.next_step_in(now[0]) is None


def test_on_a_small_computer_two_orders_of_large_art_are_made_in_turn(
    scheduling: Scheduling, making: Making, service: Service, workers: list[Waiting]
):
    """What they need is estimated from their files; here the computer has less than one of them needs."""
    making.budget = MemoryBudget(0, service.shop.archive)
    scheduling.step(start_new=True)
    assert at_work(workers) == ["lantern"]
    workers[0].said = BLURRED
    scheduling.step(start_new=True)
    workers[0].said = None
    assert at_work(workers) == ["nova"]
