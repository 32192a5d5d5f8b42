"""What is in line, with a worker, or made and not delivered: whose turn it is, and which names are in use."""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from watcher.archive.order_ticket import TICKET_SUFFIX
from watcher.disk import free_name
from watcher.inbox.file_names import compare_key
from watcher.inbox.names import tidy_order_name
from watcher.orders.model import GroupKey, Order
from watcher.orders.pairing import group_key
from watcher.outbox.product import building_folder, drop_product
from watcher.outbox.publish import is_taken
from watcher.service.gang_runs import Runs, RunTask
from watcher.service.queue import InLine
from watcher.service.shop import Shop
from watcher.work.contract import Worker
from watcher.work.job import Job, Made


@dataclass(frozen=True, kw_only=True)
class OrderTask:
    """An order that a worker has, with what it was told."""

    order: Order
    job: Job


@dataclass(kw_only=True)
class InHand:
    """All orders that were taken and are not finished.

    Attributes:
        shop: folders and journal.
        workers: each with its task, or idle.
        runs: orders that wait for others to share sheets with, and their runs.
        line: orders that wait for a worker.
        undelivered: finished orders that could not be delivered yet.
        alone: numbers of orders that are tried alone, as the service died with them.
        reserved: names for the orders of a run that is about to begin.
    """

    shop: Shop
    workers: Sequence[Worker]
    runs: Runs
    line: InLine = field(default_factory=InLine)
    undelivered: list[tuple[OrderTask, Made]] = field(default_factory=list)
    alone: set[int] = field(default_factory=set)
    reserved: set[str] = field(default_factory=set)

    # -- orders ----------------------------------------------------------------------------------------------------

    def busy_keys(self) -> set[GroupKey]:
        """The names of all of them."""
        return {group_key(order.folder, order.key) for order in [*self.line, *self._under_way()]}

    def _under_way(self) -> Iterator[Order]:
        """Orders that are out of the line but not finished."""
        yield from self._with_workers()
        yield from (task.order for task, _ in self.undelivered)
        yield from self.runs.waiting

    def _with_workers(self) -> Iterator[Order]:
        for worker in self.workers:
            if isinstance(worker.task, OrderTask):
                yield worker.task.order
            elif isinstance(worker.task, RunTask):
                yield from worker.task.orders

    def coming(self) -> list[Order]:
        """Orders that may yet come to wait for others: in line, or looked at singly by a worker."""
        tasks = (worker.task for worker in self.workers)
        return [*self.line, *(task.order for task in tasks if isinstance(task, OrderTask))]

    # -- whose turn it is ------------------------------------------------------------------------------------------

    def next(self) -> Order | None:
        """The order that is made next, or None while there is none, or only one that repeats an order in hand."""
        names = {order.key for order in self._under_way()} | {compare_key(name) for name in self._names()}
        return self.line.next(names)

    def must_wait(self) -> bool:
        """Whether an order that is tried alone is in hand, or comes next while others are in hand."""
        if not self.alone:
            return False
        in_hand = {order.number for order in self._with_workers()}
        order = self.next()
        comes_next = {order.number} if order else set()
        return bool(in_hand & self.alone) or (bool(in_hand) and bool(comes_next & self.alone))

    # -- names -----------------------------------------------------------------------------------------------------

    def _names(self) -> Iterator[str]:
        """The names that folders of orders and runs in hand will have."""
        for task in [*(worker.task for worker in self.workers), *(task for task, _ in self.undelivered)]:
            if isinstance(task, OrderTask):
                yield task.job.name
        for task in [*(worker.task for worker in self.workers), *(task for task, _ in self.runs.undelivered)]:
            if isinstance(task, RunTask):
                yield from (task.told.run, *task.told.numbers)

    def is_taken(self, name: str) -> bool:
        """Whether a folder has the name, or will have it."""
        in_hand = self.reserved.union(self._names())
        return name in in_hand or is_taken(name, [self.shop.outbox, self.shop.archive])

    def name_for(self, order: Order) -> str:
        """A free name for the order's folder, whose ticket takes no name of the order's own files either."""
        own = {compare_key(file.name) for file in order.files}
        return free_name(
            tidy_order_name(order.name),
            lambda name: self.is_taken(name) or compare_key(name + TICKET_SUFFIX) in own,
        )

    # -- the end ---------------------------------------------------------------------------------------------------

    def end(self, number: int, art: str) -> None:
        """Nothing is left to do about an order: what was noted against it goes, and so does what a broken try left.

        Args:
            number: the order's.
            art: fingerprint of the order, empty where it has none.
        """
        self.alone.discard(number)
        self.runs.singly.discard(number)
        drop_product(building_folder(self.shop.archive, number))
        if art:
            with suppress(OSError):
                self.shop.journal.forgive(art)
