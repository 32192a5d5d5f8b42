"""The service's side of gang runs: who waits, what is ready, and what a worker has in hand."""

import time
from collections.abc import Callable, Collection, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from watcher.job import Job
from watcher.orders.claim import note_of
from watcher.orders.model import Order
from watcher.outbox.run_folder import RunFolder
from watcher.runs.model import RunJob, RunMade
from watcher.runs.pool import Moment, Pool
from watcher.runs.share import Kind, kind_of
from watcher.shop import Shop

WORD = "gang-now"  # a file in `state`: what waits now is to be made now


@dataclass(frozen=True, kw_only=True)
class RunTask:
    """A run that a worker has, with what it was told."""

    orders: tuple[Order, ...]
    told: RunJob

    def order(self, name: str) -> tuple[Order, Job]:
        """The order of that name, and what was told of it."""
        number = self.told.numbers[name]
        job = next(job for job in self.told.jobs if job.name == name)
        return next(order for order in self.orders if order.number == number), job

    def folder_of(self, made: RunMade) -> RunFolder:
        """What is to be delivered."""
        numbers = {name: self.told.numbers[name] for name in made.words}
        return RunFolder(building=self.told.building, run=self.told.run, numbers=numbers)


@dataclass
class Runs:
    """All that is known of runs.

    Attributes:
        shop: settings, folders and the clock.
        pool: what waits.
        singly: numbers of orders that are made by themselves: sharing saves nothing, or has gone wrong.
        undelivered: finished runs that could not be delivered yet.
        untold: runs that have been delivered, of which the shop's own command does not know yet.
    """

    shop: Shop
    pool: Pool
    singly: set[int] = field(default_factory=set)
    undelivered: list[tuple[RunTask, RunMade]] = field(default_factory=list)
    untold: list[str] = field(default_factory=list)

    @property
    def waiting(self) -> tuple[Order, ...]:
        """Orders that wait, or whose run waits for its delivery."""
        return (*self.pool.orders, *(order for task, _ in self.undelivered for order in task.orders))

    def kind(self, order: Order) -> Kind | None:
        """What the order must have in common with others; None when it is made singly."""
        return None if order.number in self.singly else kind_of(order, self.shop.settings)

    def let_wait(self, order: Order) -> None:
        """The order waits for others, from when it was taken out of the inbox."""
        self.pool.add(order, arrived_at(self.shop.archive, order.number, self.shop.now()), self._now())

    def ready(self, is_coming: Callable[[Kind], bool]) -> tuple[Order, ...]:
        """The orders that are made together now; they wait no longer."""
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

    def forget_word(self) -> None:
        """What has been asked for has been made."""
        with suppress(OSError):
            self._word.unlink()

    def _now(self) -> Moment:
        return Moment(steady=time.monotonic(), wall=self.shop.now())

    @property
    def _word(self) -> Path:
        return self.shop.state / WORD


def arrived_at(archive: Path, number: int, now: datetime) -> datetime:
    """When an order was taken out of the inbox: then its note was written."""
    try:
        return datetime.fromtimestamp(note_of(archive, number).stat().st_mtime, now.tzinfo)
    except OSError:
        return now


def kinds_of(orders: Collection[Order], runs: Runs) -> Iterator[Kind]:
    """What orders that are on their way have in common with those that wait."""
    for order in orders:
        kind = runs.kind(order)
        if kind is not None:
            yield kind
