"""From taken orders to finished or held folders: hands tasks to the workers and takes in what they bring back.

What becomes of an order is told in `watcher.floor`; here its parts are put together, and here is whose turn comes next.
"""

from collections.abc import Sequence
from multiprocessing.connection import Connection
from typing import Any

from watcher.inbox.inspection import Inside
from watcher.inbox.scan import Identity, SeenFile
from watcher.orders.model import GroupKey, Order
from watcher.outbox.finished import FinishedCommands
from watcher.records.journal import Entry
from watcher.service.announcing import Announcing
from watcher.service.arrivals import Arrivals
from watcher.service.delivery import Delivery
from watcher.service.gang_orders import Shared
from watcher.service.gang_pool import Pool
from watcher.service.gang_runs import Runs, RunTask, kinds_of
from watcher.service.gang_waiting import Sharing
from watcher.service.holding import Aside
from watcher.service.in_hand import InHand, OrderTask
from watcher.service.inspections import Looks
from watcher.service.journal_writing import Book
from watcher.service.returning import Back
from watcher.service.run_delivery import RunDelivery
from watcher.service.shop import Shop
from watcher.service.single import Single
from watcher.work.answer import Answer
from watcher.work.contract import Worker
from watcher.work.gang_kind import Kind

_LOOK_AT_COMMANDS_S = 0.05  # a command that has ended is called again if the service dies before it has seen that


class Making:
    """The workers, what they are given, and what becomes of their answers.

    Attributes:
        more_to_come: whether the inbox holds more that is complete, or may be.
    """

    def __init__(self, shop: Shop, workers: Sequence[Worker], *, in_haste: bool = False) -> None:
        self._shop, self._workers = shop, workers
        self._runs = Runs(shop=shop, pool=Pool(in_haste=in_haste))
        self._may_start = True
        self._tried: object = None  # what a worker was given to see whether the pause is over
        self._commands = FinishedCommands()
        self._announcing = Announcing(shop, self._commands)
        self.more_to_come = False
        self._put_together()

    def _put_together(self) -> None:
        shop, book = self._shop, Book(self._shop)
        in_hand = InHand(shop=shop, workers=self._workers, runs=self._runs)
        aside, sharing = Aside(shop, book, in_hand, self._announcing), Sharing(shop, book, in_hand)
        back = Back(shop, book, in_hand, aside)
        delivery = Delivery(shop, book, in_hand, back, self._announcing)
        runs = RunDelivery(shop, in_hand, book=book, back=back, delivery=delivery, sharing=sharing)
        single = Single(
            shop,
            in_hand,
            book=book,
            aside=aside,
            back=back,
            delivery=delivery,
            sharing=sharing,
            announcing=self._announcing,
        )
        shared = Shared(shop, in_hand, book=book, aside=aside, single=single, sharing=sharing, delivery=runs)
        self._book, self._in_hand, self._looks = book, in_hand, Looks(book, in_hand)
        self._aside, self._back, self._single, self._shared = aside, back, single, shared
        self._delivery, self._run_delivery = delivery, runs
        self._arrivals = Arrivals(shop, in_hand, book=book, aside=aside, delivery=delivery, announcing=self._announcing)

    # -- what the service asks -------------------------------------------------------------------------------------

    @property
    def made(self) -> int:
        """How many orders have been finished since the start."""
        return self._delivery.made

    @property
    def held(self) -> int:
        """How many have been set aside."""
        return self._aside.held

    @property
    def looks(self) -> dict[Identity, Inside | str]:
        """The inside of each file that was looked into, or why it cannot be used."""
        return self._looks.known

    @property
    def paused(self) -> str | None:
        """Why nothing can be made, or None."""
        return self._book.paused

    @property
    def is_idle(self) -> bool:
        """Whether nothing is queued or in hand."""
        waiting = self._in_hand.line or self._looks.are_wanted or self._in_hand.undelivered or self._runs.waiting
        return not waiting and not self.in_hand

    @property
    def in_hand(self) -> bool:
        """Whether a worker is busy."""
        return any(not worker.is_idle for worker in self._workers)

    @property
    def has_room(self) -> bool:
        """Whether more orders may be taken out of the inbox."""
        return len(self._in_hand.line) < 4 * len(self._workers)

    @property
    def last_due(self) -> str:
        """When the last order in line is due, ISO 8601; `in_line.NEVER` where it is due at no date."""
        return self._in_hand.line.last_due

    def busy_keys(self) -> set[GroupKey]:
        """The names of all orders queued or in hand, or that wait for others."""
        return self._in_hand.busy_keys()

    def pipes(self) -> "list[Connection[Any, Any]]":
        """What becomes readable when a worker has something to say."""
        return [worker.pipe for worker in self._workers if worker.pipe is not None and not worker.is_idle]

    def next_step_in(self, now: float) -> float | None:
        """Seconds until something must be looked after even if no worker speaks; None when nothing."""
        times = [worker.deadline - now for worker in self._workers if not worker.is_idle]
        if self._commands.under_way:
            times.append(_LOOK_AT_COMMANDS_S)
        if self.paused and self._may_start:
            times.append(self._book.next_try_in())
        elif self._may_start and (until_run := self._runs.next_in()) is not None:
            times.append(until_run)
        return min((max(0.0, left) for left in times), default=None)

    # -- what the service does -------------------------------------------------------------------------------------

    def add(self, order: Order) -> None:
        """Queue a taken order."""
        self._arrivals.add(order)

    def resume(self, order: Order, entry: Entry | None) -> None:
        """Queue an order again that was on its way when the service stopped."""
        self._arrivals.resume(order, entry)

    def finish_delivery(self, order: Order, entry: Entry | None) -> None:
        """Complete what a crash cut short after the art had its final place in the archive or in held."""
        self._arrivals.finish_delivery(order, entry)

    def finish_same(self, order: Order, entry: Entry) -> None:
        """Complete what a crash cut short over an order of the very art whose sheets still lay in the outbox."""
        self._arrivals.finish_same(order, entry)

    def close(self, entry: Entry) -> None:
        """An order that the journal says is on its way, but of which nothing is on its way any more, has arrived."""
        self._arrivals.close(entry)

    def finish_runs(self) -> None:
        """Complete the delivery of runs that a crash cut short, before anything else is looked after."""
        self._runs.complete_cut_short()

    def tell_runs(self) -> None:
        """Tell of runs whose delivery was cut short, once of each."""
        self._delivery.tell_runs()

    def look_inside(self, files: tuple[SeenFile, ...], present: frozenset[Identity]) -> None:
        """Have the inside of these files looked at; forget insides of files that are gone."""
        self._looks.want(files, present)

    def stop(self, commands_s: float) -> None:
        """End the workers; queued orders stay taken and are resumed at the next start.

        Args:
            commands_s: how long the shop's own commands under way may go on.
        """
        for worker in self._workers:
            worker.stop()
        self._commands.finish(commands_s)
        self._announcing.settle()

    # -- one step --------------------------------------------------------------------------------------------------

    def step(self, *, start_new: bool) -> bool:
        """Collect answers and, unless the service is stopping, give idle workers their next task.

        Returns:
            Whether anything ended.
        """
        self._commands.look()
        self._announcing.settle()
        self._may_start = start_new
        ended = self._take_all()
        if start_new and self._may_go_on():
            self._give_all()
        if self._single.deliver_made() and start_new and self._may_go_on():
            self._give_all()  # what waited for one of them
        if self.is_idle:
            self._runs.forget_word()
        return ended

    def _take_all(self) -> bool:
        """Take what workers have to say; whether anything ended."""
        ended = False
        for worker in self._workers:
            if not worker.is_idle:
                task, answer = worker.task, worker.answer()
                if answer is not None:
                    ended = True
                    went_well = self._take(task, answer)
                    self._looks.went_well += went_well
                    self._has_been_tried(task, went_well=went_well)
        return ended

    def _take(self, task: object, answer: Answer) -> bool:
        """Do what an answer asks for; False when disk, rights or mounts stood in the way."""
        if isinstance(task, SeenFile):
            return self._looks.take(task, answer)
        if isinstance(task, RunTask):
            return self._shared.take(task, answer)
        assert isinstance(task, OrderTask)
        return self._single.take(task, answer)

    def _has_been_tried(self, task: object, *, went_well: bool) -> None:
        """A pause is over when what was given to a worker during it went well."""
        if task is self._tried:
            self._tried = None
            if went_well:
                self._book.go_on()

    def _may_go_on(self) -> bool:
        """Whether tasks may be given out. While paused: whether it is time to try, and what can be tried works."""
        if self.paused is None:
            return True
        if not self._book.is_time_to_try():
            return False
        try:
            self._shop.roots.check()
            self._book.write_late()
        except OSError as error:
            self._book.pause(error)
            return False
        if not (self._delivery.deliver_late() and self._run_delivery.deliver_late()):
            return False
        if not (self._in_hand.line or self._looks.are_wanted or self._tried):
            self._book.go_on()
        return True

    def _give_all(self) -> None:
        for worker in self._workers:
            while worker.is_idle and self._shared.give(worker, self._is_coming):
                pass
            while worker.is_idle and self._has_next() and not self._in_hand.must_wait():
                if self._tried is not None or not self._give(worker):
                    return

    def _has_next(self) -> bool:
        return self._looks.are_wanted or self._in_hand.next() is not None

    def _is_coming(self, kind: Kind) -> bool:
        """Whether orders that may share with those that wait are on their way."""
        return self.more_to_come or kind in kinds_of(self._in_hand.coming(), self._runs)

    def _give(self, worker: Worker) -> bool:
        """Give a worker its next task; False when there was trouble and all must wait.

        While there is a pause, one task alone is given, to see whether it is over.
        """
        order = self._in_hand.next()
        if order is None or (self._looks.are_wanted and not self.paused):
            went_well = self._looks.give(worker)
        else:
            went_well = self._single.give(worker, order)
        if self.paused and went_well:
            if worker.is_idle:  # it came to its end without a worker
                self._book.go_on()
            else:
                self._tried = worker.task
        return went_well
