"""One worker more than the settings say, so that small orders are made while all others are at work on slow art."""

import time
from collections.abc import Callable, Mapping

from watcher.records.order_life import Event
from watcher.service.life.cases import OrderCase
from watcher.service.life.executor import happen
from watcher.service.life.making import Making
from watcher.work.contract import Worker

SLOW_S = 10.0  # all workers at work for so long, each on one task: a small order takes less than a second
SET_BACK_S = 20.0  # what the spare worker has not made by then waits for one of the others


class SpareWorker:
    """A worker that is there only while it is needed, and that no order keeps for long.

    An order that takes it longer than `SET_BACK_S` while all others are still busy goes back into the queue, and waits
    for one of them: so the spare worker is free again for the next small order.

    Args:
        making: the orders and the workers; the spare one is among them while it is there.
        start: gives a worker; None where there is to be no spare one.
    """

    def __init__(self, making: Making, start: Callable[[], Worker] | None) -> None:
        self._making, self._start = making, start
        self._worker: Worker | None = None
        self._begun: Mapping[int, tuple[object, float]] = {}  # each busy worker's task, and since when it has it
        self._slow: set[int] = set()

    def is_spare(self, worker: Worker) -> bool:
        """Whether a worker is the spare one."""
        return worker is self._worker

    def passed_over(self, worker: Worker) -> frozenset[int]:
        """The numbers of the orders that a worker is not given."""
        return frozenset(self._slow) if self.is_spare(worker) else frozenset()

    def next_step_in(self, now: float) -> float | None:
        """Give the seconds until a spare worker may be needed, or must be freed; None where that is not in sight."""
        times = self._times(now)
        if self._start is None or times is None or not self._has_more():
            return None
        longest = SLOW_S - min(times)
        if self._worker is not None:
            longest = SET_BACK_S - self._time_of(self._worker, now)
        return max(0.0, longest)

    def step(self) -> None:
        """Start a spare worker, free it, or end it, as is due."""
        now = self.note()
        times = self._times(now)
        if times is None:
            self._end_if_idle()
        elif self._worker is None:
            if self._start is not None and min(times) >= SLOW_S and self._has_more():
                self._worker = self._start()
                self._making.workers = [*self._making.workers, self._worker]
        elif self._time_of(self._worker, now) >= SET_BACK_S and self._has_more():
            self._set_back()

    def note(self) -> float:
        """Note since when each worker has its task; gives the time, s."""
        before, now = self._begun, time.monotonic()
        self._begun = {
            id(worker): before[id(worker)]
            if id(worker) in before and before[id(worker)][0] is worker.task
            else (worker.task, now)
            for worker in self._making.workers
            if not worker.is_idle
        }
        if self._slow:
            self._slow &= {order.number for order in self._making.queue}
        return now

    def _times(self, now: float) -> list[float] | None:
        """How long each worker of the settings has had its task, s; None where one of them is idle."""
        others = [worker for worker in self._making.workers if worker is not self._worker]
        if not others or any(worker.is_idle for worker in others):
            return None
        return [self._time_of(worker, now) for worker in others]

    def _time_of(self, worker: Worker, now: float) -> float:
        return now - self._begun.get(id(worker), (None, now))[1]

    def _has_more(self) -> bool:
        """Whether there is an order that has not been too slow for the spare worker."""
        return not self._making.paused and self._making.next(self._slow) is not None

    def _set_back(self) -> None:
        assert self._worker is not None
        case = self._worker.task
        if isinstance(case, OrderCase):
            self._worker.stop()
            self._slow.add(case.number)
            happen(self._making, case, Event.SET_BACK)

    def _end_if_idle(self) -> None:
        if self._worker is not None and self._worker.is_idle:
            self._worker.stop()
            self._making.workers = [worker for worker in self._making.workers if worker is not self._worker]
            self._worker = None
