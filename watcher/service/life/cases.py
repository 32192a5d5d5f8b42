"""What is known of an order, or of a run of orders, while an event of its life is dealt with."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from watcher.orders.model import Order
from watcher.outbox.run_folder import RunFolder
from watcher.records.journal import Entry
from watcher.records.order_life import Event, State
from watcher.work.answer import Answer
from watcher.work.contract import Worker
from watcher.work.gang_model import RunJob, RunMade
from watcher.work.job import Job, Made

_Value = TypeVar("_Value")


@dataclass(frozen=True, kw_only=True)
class OrderCase:
    """One order. What an event does not bring with it is None.

    Attributes:
        number: of its claim.
        claimed: the order; None where nothing but the journal knows of it.
        worker: an idle one whose turn has come.
        job: what a worker is told of the order.
        answer: what the worker said, or why the order cannot be made.
        made: the finished product.
        entry: what the journal says, or is about to say.
        line: for the log for people.
        error: what failed.
        deaths: how often a worker, or the service, died over it.
        arrived: whether a start finds its files at their final place.
        is_whole: whether a start finds all of its files.
        again: whether a crash cut its end short, nobody knows where.
        then: the state that follows, where the row has one.
    """

    number: int
    claimed: Order | None = None
    worker: Worker | None = None
    job: Job | None = None
    answer: Answer | None = None
    made: Made | None = None
    entry: Entry | None = None
    line: str = ""
    error: Exception | None = None
    deaths: int = 0
    arrived: bool = False
    is_whole: bool = True
    again: bool = False
    then: State | None = None

    @property
    def order(self) -> Order:
        """The order, where it is known."""
        return known(self.claimed)


@dataclass(frozen=True, kw_only=True)
class RunCase:
    """Orders that share sheets. What an event does not bring with it is None.

    Attributes:
        orders: all of them.
        worker: an idle one.
        job: what a worker is told of the run.
        answer: what it said.
        made: the finished run.
        run: its name, where it is delivered.
        numbers: of all of its orders.
        words: its count for people.
        error: what failed.
        again: whether a crash cut its end short, nobody knows where.
        then: the state that follows, where the row has one.
    """

    orders: tuple[Order, ...] = ()
    worker: Worker | None = None
    job: RunJob | None = None
    answer: Answer | None = None
    made: RunMade | None = None
    run: str = ""
    numbers: tuple[int, ...]
    words: str = ""
    error: Exception | None = None
    again: bool = False
    then: State | None = None

    @property
    def sharing(self) -> tuple[Order, ...]:
        """The orders whose cards lie on the sheets of the run."""
        return self.orders if self.made is None else tuple(self.order(name)[0] for name in self.made.words)

    def order(self, name: str) -> tuple[Order, Job]:
        """Give the order of that name, and what a worker was told of it."""
        run = known(self.job)
        job = next(job for job in run.jobs if job.name == name)
        return next(order for order in self.orders if order.number == run.numbers[name]), job

    def folder(self) -> RunFolder:
        """Give what is to be delivered."""
        run = known(self.job)
        numbers = {name: run.numbers[name] for name in known(self.made).words}
        return RunFolder(building=run.building, run=run.run, numbers=numbers)


Case = OrderCase | RunCase
Next = Sequence[tuple[Case, Event]]  # what an action brings about, dealt with in this order
NOTHING: Next = ()


def case_of(order: Order) -> OrderCase:
    """Give the case of an order of which nothing else is known."""
    return OrderCase(number=order.number, claimed=order)


def run_of(orders: Sequence[Order]) -> RunCase:
    """Give the case of orders that may share sheets."""
    return RunCase(orders=tuple(orders), numbers=tuple(order.number for order in orders))


def known(value: _Value | None) -> _Value:
    """Give a value that the row of the table makes sure is there."""
    assert value is not None
    return value
