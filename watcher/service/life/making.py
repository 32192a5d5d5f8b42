"""The orders that were taken and are not finished, and all that their lives are carried out with."""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from watcher.archive.folder_words import PRINTED
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.disk import fitting_order_name, free_name
from watcher.inbox.file_names import compare_key
from watcher.inbox.tidy import tidy_order_name
from watcher.orders.model import GroupKey, Order
from watcher.orders.readings import group_key
from watcher.outbox.finished import FinishedCommands
from watcher.outbox.product import building_folder, drop_product
from watcher.outbox.publish import is_taken
from watcher.service.life.cases import OrderCase, RunCase, known
from watcher.service.life.gang_runs import Runs
from watcher.service.life.journal_writing import JournalWriting
from watcher.service.memory_budget import MemoryBudget
from watcher.service.pauses import Part
from watcher.service.queue import Queue
from watcher.service.shop import Shop
from watcher.work.contract import Worker


@dataclass(kw_only=True)
class Making:
    """All orders that were taken and are not finished, and what every action may use.

    Attributes:
        shop: settings, folders, journal and log.
        workers: each with the case that it is at work on, or idle.
        runs: orders that wait for others to share sheets with, and their runs.
        journal: writes the journal and keeps the pause.
        budget: the memory that orders may take together; None: as much as they like.
        commands: the shop's own commands that are running.
        queue: orders that wait for a worker.
        undelivered: orders whose product waits for its delivery.
        tried_alone: numbers of orders that are made alone, as the service died with them.
        reserved: names for the orders of a run that is about to begin.
        announced: orders of which everybody has been told since the last step.
        notes_to_drop: numbers of orders whose note can go once the log's lines are on the disk.
        returned: how often each order, by its key, went back to the inbox since the start.
        remade: how often each order, by its number, was made again because its product was taken away.
        runs_remade: the same of runs, in a row.
        troubled: orders, by their number, over which disk or rights failed, with `finished` at that time.
        made: how many orders have been finished since the start.
        held: how many have been held.
    """

    shop: Shop
    workers: Sequence[Worker]
    runs: Runs
    journal: JournalWriting
    budget: MemoryBudget | None = None
    commands: FinishedCommands = field(default_factory=FinishedCommands)
    queue: Queue = field(default_factory=Queue)
    undelivered: list[OrderCase] = field(default_factory=list)
    tried_alone: set[int] = field(default_factory=set)
    reserved: set[str] = field(default_factory=set)
    announced: list[OrderCase] = field(default_factory=list)
    notes_to_drop: list[int] = field(default_factory=list)
    returned: Counter[str] = field(default_factory=Counter)
    remade: Counter[int] = field(default_factory=Counter)
    runs_remade: int = 0
    troubled: dict[int, int] = field(default_factory=dict)
    made: int = 0
    held: int = 0

    @property
    def paused(self) -> str | None:
        """Why nothing can be made, or None."""
        return self.shop.pauses.why(Part.MAKING)

    @property
    def finished(self) -> int:
        """How many orders have come to their end since the start."""
        return self.made + self.held

    def note_trouble(self, numbers: Collection[int]) -> None:
        """Note that disk or rights failed over these orders now."""
        self.troubled |= dict.fromkeys(numbers, self.finished)

    def in_trouble(self) -> set[int]:
        """The numbers of orders over which disk or rights failed, and no order has come to its end since."""
        return {number for number, finished in self.troubled.items() if finished == self.finished}

    @property
    def has_room(self) -> bool:
        """Whether more orders may be taken out of the inbox."""
        return len(self.queue) < 4 * len(self.workers)

    @property
    def has_busy_worker(self) -> bool:
        """Whether a worker is at work."""
        return any(not worker.is_idle for worker in self.workers)

    # -- orders ----------------------------------------------------------------------------------------------------

    def busy_keys(self) -> set[GroupKey]:
        """The names of all of them."""
        return {group_key(order.folder, order.key) for order in [*self.queue, *self._begun()]}

    def _begun(self) -> Iterator[Order]:
        """Orders that are out of the queue but not finished."""
        yield from self._with_workers()
        yield from (case.order for case in self.undelivered)
        yield from self.runs.waiting

    def _with_workers(self) -> Iterator[Order]:
        for worker in self.workers:
            if isinstance(worker.task, OrderCase):
                yield worker.task.order
            elif isinstance(worker.task, RunCase):
                yield from worker.task.orders

    def coming(self) -> list[Order]:
        """Orders that may yet come to wait for others: queued, or with a worker one by one."""
        tasks = (worker.task for worker in self.workers)
        return [*self.queue, *(task.order for task in tasks if isinstance(task, OrderCase))]

    # -- whose turn it is ------------------------------------------------------------------------------------------

    def next(self, passing_over: Collection[int] = ()) -> Order | None:
        """Give the order that is made next; None while there is none, or only what must wait.

        What repeats an order being made waits for that, and what has no room in the computer's memory for room. What is
        in trouble comes after all others.

        Args:
            passing_over: numbers of orders whose turn it is not.
        """
        names = {order.key for order in self._begun()} | {compare_key(name) for name in self._names()}
        waiting = self.budget.waiting([*self.queue], [*self._with_workers()]) if self.budget else frozenset()
        pass_over = waiting.union(passing_over)
        return self.queue.next(names, pass_over | self.in_trouble()) or self.queue.next(names, pass_over)

    def has_room_for(self, orders: Sequence[Order]) -> bool:
        """Whether the computer has the memory to make these beside those that workers are at work on."""
        return self.budget is None or self.budget.has_room(orders, [*self._with_workers()])

    def must_wait(self) -> bool:
        """Whether an order that is made alone is with a worker, or comes next while others are with workers."""
        if not self.tried_alone:
            return False
        begun = {order.number for order in self._with_workers()}
        order = self.next()
        comes_next = {order.number} if order else set()
        return bool(begun & self.tried_alone) or (bool(begun) and bool(comes_next & self.tried_alone))

    # -- names -----------------------------------------------------------------------------------------------------

    def _names(self) -> Iterator[str]:
        """The names that the folders of orders and runs will have."""
        tasks = [worker.task for worker in self.workers]
        for task in [*tasks, *self.undelivered, *self.runs.undelivered]:
            if isinstance(task, OrderCase):
                yield known(task.job).name
            elif isinstance(task, RunCase):
                run = known(task.job)
                yield from (run.run, *run.numbers)

    def is_taken(self, name: str) -> bool:
        """Whether a folder has the name, or will have it; that of the printed orders' folder is never free."""
        coming = {PRINTED, *(compare_key(one) for one in self.reserved.union(self._names()))}
        return compare_key(name) in coming or is_taken(name, [self.shop.outbox, self.shop.archive])

    def name_for(self, order: Order) -> str:
        """Give a free name for the order's folder, whose ticket takes no name of the order's own files either."""
        own, shop = {compare_key(file.name) for file in order.files}, self.shop
        return free_name(
            fitting_order_name(tidy_order_name(order.name), [shop.outbox, shop.archive, shop.held, shop.inbox]),
            lambda name: self.is_taken(name) or compare_key(name + TICKET_SUFFIX) in own,
        )

    # -- the end ---------------------------------------------------------------------------------------------------

    def end(self, number: int, art: str) -> None:
        """Forget what was noted against an order that is done or held, and remove what a broken try left.

        Args:
            number: the order's.
            art: fingerprint of the order, empty where it has none.
        """
        self.tried_alone.discard(number)
        self.runs.singly.discard(number)
        self.troubled.pop(number, None)
        drop_product(building_folder(self.shop.archive, number))
        if art:
            with suppress(OSError):
                self.shop.journal.clear_deaths(art)
