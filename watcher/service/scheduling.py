"""Give idle workers their next task and take in their answers, one step of the service at a time.

What an answer means for an order stands in `watcher/records/order_life.py`; here is whose turn comes next.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from watcher.inbox.scan import SeenFile
from watcher.orders.model import Order
from watcher.records.order_life import Event
from watcher.service.inspections import Inspections
from watcher.service.life.announcing import drop_notes
from watcher.service.life.beginning import answered
from watcher.service.life.cases import OrderCase, RunCase, case_of, run_of
from watcher.service.life.executor import happen
from watcher.service.life.gang_orders import run_answered
from watcher.service.life.gang_runs import kinds_of
from watcher.service.life.making import Making
from watcher.service.spare import SpareWorker
from watcher.work.answer import Answer
from watcher.work.contract import Pipe, Worker
from watcher.work.gang_kind import Kind

IDLE_S = 600.0  # without work, after which the workers end: each has 100 MB; starting one costs half a second
_SEE_COMMANDS_S = 0.05  # a command that has ended is called again if the service dies before it has seen that


class Scheduling:
    """The next tasks of the workers.

    Args:
        making: the orders and the workers.
        start_spare: gives one worker more; None: there is none.

    Attributes:
        inspections: files whose inside must be known first.
        more_to_come: whether the inbox holds more that is complete, or may be.
    """

    def __init__(self, making: Making, start_spare: Callable[[], Worker] | None = None) -> None:
        self._making = making
        self._spare = SpareWorker(making, start_spare)
        self._may_start = True
        self._tried: object = None  # what a worker was given to see whether the pause is over
        self.inspections = Inspections(making)
        self.more_to_come = False
        self._end_workers_at: float | None = None  # steady clock, s; None: they have ended

    # -- what the loop asks ----------------------------------------------------------------------------------------

    @property
    def is_idle(self) -> bool:
        """Whether nothing is left to do."""
        making = self._making
        waiting = making.queue or self.inspections.are_wanted or making.undelivered or making.runs.waiting
        return not waiting and not making.has_busy_worker

    def pipes(self) -> "list[Pipe[Any, Any]]":
        """Give what becomes readable when a worker has something to say."""
        workers = self._making.workers
        return [worker.pipe for worker in workers if worker.pipe is not None and not worker.is_idle]

    def next_step_in(self, now: float) -> float | None:
        """Give the seconds until something must be done even if no worker answers; None when nothing."""
        making = self._making
        times = [worker.deadline - now for worker in making.workers if not worker.is_idle]
        if (until_spare := self._spare.next_step_in(now)) is not None:
            times.append(until_spare)
        if not times and self._end_workers_at is not None:
            times.append(self._end_workers_at - now)
        if making.commands.under_way:
            times.append(_SEE_COMMANDS_S)
        if making.paused and self._may_start:
            times.append(making.journal.next_try_in())
        elif self._may_start and (until_run := making.runs.next_in()) is not None:
            times.append(until_run)
        return min((max(0.0, left) for left in times), default=None)

    # -- what the loop does ----------------------------------------------------------------------------------------

    def stop(self, commands_s: float) -> None:
        """End the workers; queued orders stay taken and are resumed at the next start.

        Args:
            commands_s: how long the shop's own commands may go on.
        """
        for worker in self._making.workers:
            worker.stop()
        self._making.commands.finish(commands_s)
        self._announce()

    def step(self, *, start_new: bool) -> bool:
        """Collect answers and, unless the service is stopping, give idle workers their next task.

        Returns:
            Whether anything ended.
        """
        self._making.commands.poll()
        self._announce()
        self._may_start = start_new
        ended = self._take_all()
        if start_new:
            self._spare.step()
        if start_new and self._may_go_on():
            self._give_all()
        if self._deliver_made() and start_new and self._may_go_on():
            self._give_all()  # what waited for one of them
        self._end_idle_workers(self._spare.note())
        if self.is_idle:
            self._making.runs.forget_word()
        return ended

    def _announce(self) -> None:
        """Go on with the orders whose command has ended, and remove the notes that can go."""
        while self._making.announced:
            happen(self._making, self._making.announced.pop(0), Event.ANNOUNCED)
        drop_notes(self._making)

    def _end_idle_workers(self, now: float) -> None:
        """End the processes of the workers when none has had work for `IDLE_S`; the next task starts them again."""
        if self._making.has_busy_worker:
            self._end_workers_at = now + IDLE_S
        elif self._end_workers_at is not None and now >= self._end_workers_at:
            for worker in self._making.workers:
                worker.stop()
            self._end_workers_at = None

    # -- answers ---------------------------------------------------------------------------------------------------

    def _take_all(self) -> bool:
        """Take what workers have to say; whether anything ended."""
        ended = False
        for worker in self._making.workers:
            if not worker.is_idle:
                task, answer = worker.task, worker.answer()
                if answer is not None:
                    ended = True
                    went_well = self._take(task, answer)
                    self.inspections.went_well += went_well and answer.trouble is None
                    self._has_been_tried(task, went_well=went_well)
        return ended

    def _take(self, task: object, answer: Answer) -> bool:
        """Do what an answer asks for; False when disk, rights or mounts stood in the way."""
        if isinstance(task, SeenFile):
            return self.inspections.take(task, answer)
        if isinstance(task, RunCase):
            return happen(self._making, *run_answered(task, answer))
        assert isinstance(task, OrderCase)
        return happen(self._making, *answered(task, answer))

    def _has_been_tried(self, task: object, *, went_well: bool) -> None:
        """A pause is over when what was given to a worker during it went well."""
        if task is self._tried:
            self._tried = None
            if went_well:
                self._making.journal.go_on()

    # -- delivery --------------------------------------------------------------------------------------------------

    def _deliver_made(self) -> bool:
        """Deliver what has been made, once the workers have their next orders; whether anything was delivered."""
        making = self._making
        before = making.made
        while making.undelivered and not making.paused:
            happen(making, making.undelivered.pop(0), Event.DELIVERY_DUE)
        return making.made > before

    def _deliver_late(self) -> bool:
        """Try again what could not be delivered; False while that is still so."""
        making = self._making
        while making.undelivered:
            if not happen(making, making.undelivered.pop(0), Event.DELIVERY_DUE):
                return False
            making.journal.go_on()
        while making.runs.undelivered:
            if not happen(making, making.runs.undelivered.pop(0), Event.RUN_DELIVERY_DUE):
                return False
            making.journal.go_on()
        return True

    # -- tasks -----------------------------------------------------------------------------------------------------

    def _may_go_on(self) -> bool:
        """Whether tasks may be given out. While paused: whether it is time to try, and what can be tried works."""
        making = self._making
        if making.paused is None:
            return True
        if not making.journal.is_time_to_try():
            return False
        try:
            making.shop.roots.check()
            making.journal.write_late()
        except OSError as error:
            making.journal.pause(error)
            return False
        if not self._deliver_late():
            return False
        if not (making.queue or self.inspections.are_wanted or self._tried):
            making.journal.go_on()
        return True

    def _give_all(self) -> None:
        for worker in self._making.workers:
            while worker.is_idle and not self._spare.is_spare(worker) and self._give_run(worker):
                pass
            while worker.is_idle and self._has_next(worker) and not self._making.must_wait():
                if self._tried is not None or not self._give(worker):
                    return

    def _give_run(self, worker: Worker) -> bool:
        """Give a worker the run whose time has come; False when there is none, or when all must wait."""
        making = self._making
        if making.paused or making.tried_alone:
            return False
        orders = making.runs.ready(self._is_coming)
        if not orders or not making.has_room_for(orders):
            return False
        return happen(making, replace(run_of(orders), worker=worker), Event.RUN_DUE)

    def _is_coming(self, kind: Kind) -> bool:
        """Whether orders that may share with those that wait are on their way."""
        return self.more_to_come or kind in kinds_of(self._making.coming(), self._making.runs)

    def _has_next(self, worker: Worker) -> bool:
        return self.inspections.are_wanted or self._next_for(worker) is not None

    def _next_for(self, worker: Worker) -> Order | None:
        return self._making.next(self._spare.passed_over(worker))

    def _give(self, worker: Worker) -> bool:
        """Give a worker its next task; False when there was trouble and all must wait.

        While there is a pause, one task alone is given, to see whether it is over.
        """
        making, order = self._making, self._next_for(worker)
        if order is None or (self.inspections.are_wanted and not making.paused):
            went_well = self.inspections.give(worker)
        else:
            went_well = self._give_order(worker, order)
        if making.paused and went_well:
            if worker.is_idle:  # it came to its end without a worker
                making.journal.go_on()
            else:
                self._tried = worker.task
        return went_well

    def _give_order(self, worker: Worker, order: Order) -> bool:
        self._making.queue.take(order)
        return happen(self._making, replace(case_of(order), worker=worker), Event.TURN_CAME)
