"""The service's side of gang runs: who waits, what is ready, and what a worker has in hand."""

import time
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from watcher.archive.order_ticket import TICKET_SUFFIX
from watcher.archive.rebuild_journal import made_entry
from watcher.archive.ticket_reader import read_ticket
from watcher.disk import free_name
from watcher.orders.claim import note_of, taking_folder
from watcher.orders.model import Order
from watcher.orders.say import earlier_words
from watcher.outbox.product import is_whole
from watcher.outbox.run_folder import RunFolder, deliver_run, run_building_folder, runs_cut_short
from watcher.records.journal import Entry, State
from watcher.service.gang_pool import Moment, Pool
from watcher.service.shop import Shop
from watcher.work.gang_kind import Kind, kind_of
from watcher.work.gang_model import RunJob, RunMade
from watcher.work.job import Job

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
        untold: the orders of runs that have been delivered, but of which not everybody has been told.
    """

    shop: Shop
    pool: Pool
    singly: set[int] = field(default_factory=set)
    undelivered: list[tuple[RunTask, RunMade]] = field(default_factory=list)
    untold: dict[str, list[Entry]] = field(default_factory=dict)

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

    def told(self, members: Sequence[tuple[Order, Job]], is_taken: Callable[[str], bool]) -> RunJob:
        """What a worker is told of a run that is to be made now.

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

    def entries(self, task: RunTask, made: RunMade) -> list[Entry]:
        """What the journal says of the orders of a run before it is delivered."""
        return [self._entry(task, name, made) for name in made.words]

    def _entry(self, task: RunTask, name: str, made: RunMade) -> Entry:
        order, job = task.order(name)
        return Entry(
            number=order.number,
            name=order.name,
            key=order.key,
            card=order.wishes.card,
            state=State.DELIVERING,
            since=self.shop.stamp(),
            folder=name,
            art=job.order_sha256,
            sheets=made.sheets,
            says=f"{made.words[name]}{earlier_words(order)}",
            run=task.told.run,
        )

    def is_lost(self, task: RunTask, made: RunMade, orders: Iterable[Order]) -> bool:
        """Whether the folders are there, and no art has moved yet, but not all files of what was made are."""
        unmoved = all(taking_folder(self.shop.archive, order.number).exists() for order in orders)
        return self.shop.roots.are_there() and unmoved and not is_whole(task.told.building, made.product)

    def complete_cut_short(self) -> None:
        """Complete deliveries that a crash cut short; after that, all of their orders have arrived."""
        for folder in tuple(runs_cut_short(self.shop.archive)):
            deliver_run(folder, archive=self.shop.archive, outbox=self.shop.outbox)
            for name, number in folder.numbers.items():
                ticket = read_ticket(self.shop.archive / name / (name + TICKET_SUFFIX))
                if ticket is not None and not self._knows(number, name):  # the journal was lost in the same moment
                    self.shop.journal.write(made_entry(number, name, ticket))

    def _knows(self, number: int, folder: str) -> bool:
        made = self.shop.journal.in_state(State.DONE)
        return self.shop.journal.find(number) is not None or any(entry.folder == folder for entry in made)

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
