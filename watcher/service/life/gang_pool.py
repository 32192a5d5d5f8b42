"""The orders that wait for others to share their sheets with, and when they are made.

A run is made when the first of its orders has waited `gang_wait`, says `now`, or is due before its wait would be over:
a due date is never missed to save paper. Then all that waits and can share goes along.
"""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path

from watcher.orders.claim import note_of
from watcher.orders.model import Order
from watcher.settings.model import Settings
from watcher.work.gang_kind import Kind, kind_of

MOST_AT_ONCE = 48  # orders in a run; more than fit on the sheets of most runs, and few enough to be opened in one go


@dataclass(frozen=True, kw_only=True)
class Moment:
    """Now, by both clocks: the steady one in seconds, and the one on the wall, which may be set."""

    steady: float
    wall: datetime


@dataclass(frozen=True, kw_only=True)
class Waiting:
    """An order that waits.

    Attributes:
        order: which one.
        arrived: when it was taken out of the inbox, by the clock on the wall.
        since: the steady clock then; what it had waited before the service was started is taken off.
    """

    order: Order
    arrived: datetime
    since: float

    def waited_s(self, now: Moment) -> float:
        """How long it has waited, s: by the clock that says more, as one on the wall may be set back."""
        return max(now.steady - self.since, (now.wall - self.arrived).total_seconds())

    def left_s(self, now: Moment, wait_s: float) -> float:
        """How much longer it waits at the most."""
        left = max(0.0, wait_s - self.waited_s(now))
        wishes = self.order.wishes
        if wishes.now or (wishes.due and _begins_within(wishes.due, now.wall, left)):
            return 0.0
        return left


def _begins_within(day: date, now: datetime, seconds: float) -> bool:
    """Whether a day begins before so many seconds have passed, or has begun."""
    begins = datetime.combine(day, time.min, now.tzinfo)
    return (begins - now) <= timedelta(seconds=seconds)


@dataclass
class Pool:
    """The orders that wait for others to share sheets with.

    Attributes:
        in_haste: whether nothing waits for time to pass: `once`.
    """

    in_haste: bool = False
    _waiting: dict[int, Waiting] = field(default_factory=dict)
    _asked: set[int] = field(default_factory=set)

    def __len__(self) -> int:
        return len(self._waiting)

    @property
    def orders(self) -> tuple[Order, ...]:
        """The orders that wait."""
        return tuple(waiting.order for waiting in self._waiting.values())

    def add(self, order: Order, arrived: datetime, now: Moment) -> None:
        """Add an order; what it has waited already counts."""
        before = max(0.0, (now.wall - arrived).total_seconds())
        self._waiting[order.number] = Waiting(order=order, arrived=arrived, since=now.steady - before)

    def take(self, orders: Collection[Order]) -> None:
        """Take orders out of the pool, as they are made now."""
        for order in orders:
            del self._waiting[order.number]
            self._asked.discard(order.number)

    def hurry(self, before: datetime) -> None:
        """Release the orders that arrived before `before`."""
        self._asked |= {number for number, waiting in self._waiting.items() if waiting.arrived <= before}

    def ready(self, settings: Settings, now: Moment, is_coming: Callable[[Kind], bool]) -> tuple[Order, ...]:
        """The orders that are made together now, by their numbers; none when all wait on.

        Args:
            settings: in force.
            now: by both clocks.
            is_coming: whether more of a kind are on their way here; they are waited for as long as there is room.
        """
        for kind, group in self._groups(settings).items():
            if kind is None:  # the settings have changed: it may share no longer
                return tuple(waiting.order for waiting in group[:MOST_AT_ONCE])
            if len(group) >= MOST_AT_ONCE or (not is_coming(kind) and min(self._left(group, settings, kind, now)) <= 0):
                return tuple(waiting.order for waiting in group[:MOST_AT_ONCE])
        return ()

    def next_in(self, settings: Settings, now: Moment) -> float | None:
        """Seconds until the next run is to be made; None when nothing waits."""
        lefts = [self._left(group, settings, kind, now) for kind, group in self._groups(settings).items()]
        return min((left for group in lefts for left in group), default=None)

    def latest(self, settings: Settings, now: Moment) -> Mapping[int, datetime]:
        """When the orders are made at the latest, by their numbers: with the first of those that may share."""
        found: dict[int, datetime] = {}
        for kind, group in self._groups(settings).items():
            made = now.wall + timedelta(seconds=min(self._left(group, settings, kind, now)))
            found |= {waiting.order.number: made for waiting in group}
        return found

    def groups(self, settings: Settings) -> Mapping[Kind, tuple[Order, ...]]:
        """Those that may share with each other."""
        groups = self._groups(settings)
        return {kind: tuple(one.order for one in group) for kind, group in groups.items() if kind is not None}

    def _groups(self, settings: Settings) -> Mapping[Kind | None, list[Waiting]]:
        groups: dict[Kind | None, list[Waiting]] = {}
        for _, waiting in sorted(self._waiting.items()):
            groups.setdefault(kind_of(waiting.order, settings), []).append(waiting)
        return groups

    def _left(self, group: list[Waiting], settings: Settings, kind: Kind | None, now: Moment) -> list[float]:
        return list(self._each_left(group, 0.0 if kind is None else settings.sheets[kind.sheet].gang_wait, now))

    def _each_left(self, group: list[Waiting], wait_s: float, now: Moment) -> Iterator[float]:
        for waiting in group:
            at_once = self.in_haste or waiting.order.number in self._asked
            yield 0.0 if at_once else waiting.left_s(now, wait_s)


def arrived_at(archive: Path, number: int, now: datetime) -> datetime:
    """When an order was taken out of the inbox: then its note was written."""
    try:
        return datetime.fromtimestamp(note_of(archive, number).stat().st_mtime, now.tzinfo)
    except OSError:
        return now
