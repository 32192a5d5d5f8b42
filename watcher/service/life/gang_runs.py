"""Gang runs as the service knows them: which orders wait, which are ready, and which runs are not delivered."""

import time
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from watcher.archive.rebuild_journal import made_entry
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.archive.ticket_reader import read_ticket
from watcher.disk import free_name, remove_file
from watcher.orders.model import Order
from watcher.outbox.run_folder import deliver_run, run_building_folder, runs_cut_short
from watcher.records.journal import Entry
from watcher.service.life.cases import RunCase
from watcher.service.life.gang_pool import Moment, Pool, arrived_at
from watcher.service.shop import Shop
from watcher.work.gang_kind import Kind, kind_of
from watcher.work.gang_model import RunJob
from watcher.work.job import Job

WORD = "gang-now"  # a file in `state`: what waits now is to be made now


@dataclass
class Runs:
    """Orders that wait for others, and the runs that were made of them.

    Attributes:
        shop: settings, folders and the clock.
        pool: orders that wait.
        singly: numbers of orders that are made one by one: sharing saves nothing, or has gone wrong.
        undelivered: finished runs that could not be delivered yet.
        unannounced: the orders of runs that are delivered and not announced, by the run's name.
    """

    shop: Shop
    pool: Pool
    singly: set[int] = field(default_factory=set)
    undelivered: list[RunCase] = field(default_factory=list)
    unannounced: dict[str, list[Entry]] = field(default_factory=dict)

    @property
    def waiting(self) -> tuple[Order, ...]:
        """Orders that wait, or whose run waits for its delivery."""
        return (*self.pool.orders, *(order for case in self.undelivered for order in case.orders))

    def kind(self, order: Order) -> Kind | None:
        """What the order must have in common with others; None when it is made singly."""
        return None if order.number in self.singly else kind_of(order, self.shop.settings)

    def let_wait(self, order: Order) -> None:
        """Let an order wait for others, from when it was taken out of the inbox."""
        self.pool.add(order, arrived_at(self.shop.archive, order.number, self.shop.now()), self._now())

    def ready(self, is_coming: Callable[[Kind], bool]) -> tuple[Order, ...]:
        """Take out the orders that are made together now."""
        if not len(self.pool):
            return ()
        with suppress(OSError):
            self.pool.hurry(datetime.fromtimestamp(self._word.stat().st_mtime).astimezone())
        orders = self.pool.ready(self.shop.settings, self._now(), is_coming)
        self.pool.take(orders)
        return orders

    def next_in(self) -> float | None:
        """Seconds until a run is to be made; None when nothing waits, or one is ready but for a worker."""
        left = self.pool.next_in(self.shop.settings, self._now())
        return left if left else None

    def job_for(self, members: Sequence[tuple[Order, Job]], is_taken: Callable[[str], bool]) -> RunJob:
        """Give what a worker is told of a run that is to be made now.

        Args:
            members: its orders, with what would be told of each made singly.
            is_taken: whether a name is in use for a folder.
        """
        day, journal = self.shop.stamp()[:10], self.shop.journal
        return RunJob(
            jobs=tuple(job for _, job in members),
            numbers={job.name: order.number for order, job in members},
            run=free_name(f"run-{day}", lambda name: is_taken(name) or journal.knows_run(name)),
            building=run_building_folder(self.shop.archive, members[0][0].number),
            date=day,
        )

    def complete_cut_short(self) -> None:
        """Complete deliveries that a crash cut short: the files of all of their orders have their final places then."""
        for folder in tuple(runs_cut_short(self.shop.archive)):
            deliver_run(folder, archive=self.shop.archive, outbox=self.shop.outbox)
            for name, number in folder.numbers.items():
                ticket = read_ticket(self.shop.archive / name / (name + TICKET_SUFFIX))
                if ticket is not None and not self._knows(number, name):  # the journal was lost in the same moment
                    self.shop.journal.write(made_entry(number, name, ticket))

    def _knows(self, number: int, folder: str) -> bool:
        return self.shop.journal.find(number) is not None or self.shop.journal.knows_made(folder)

    def forget_word(self) -> None:
        """Remove the file that asks for what waits to be made now."""
        with suppress(OSError):
            remove_file(self._word)

    def _now(self) -> Moment:
        return Moment(steady=time.monotonic(), wall=self.shop.now())

    @property
    def _word(self) -> Path:
        return self.shop.state / WORD


def kinds_of(orders: Collection[Order], runs: Runs) -> Iterator[Kind]:
    """What orders that are on their way have in common with those that wait."""
    for order in orders:
        kind = runs.kind(order)
        if kind is not None:
            yield kind
