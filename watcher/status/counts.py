"""Count the orders of a print folder once, so that every sentence and every tile says the same."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from watcher.status.model import FinishedOrder, Listed, Overview, Progress
from watcher.status.week import DueGroup, due_group, week_of
from watcher.terms import HeldFor


@dataclass(frozen=True, kw_only=True)
class Counts:
    """How many orders there are of each kind.

    Attributes:
        late: that were needed before today and are not printed, in whatever state.
        to_answer: that are held.
        asked: that wait for a yes.
        strange: folders among the held ones that are none of ours.
        waiting: in the inbox.
        sharing: that wait for others to share sheets with.
        making: that are taken and not finished, without those.
        finished: that are ready to print, each order of a run counted.
        sheets: that they take.
        printed: that lie among the printed ones.
        left_alone: things in the inbox that are none of ours.
    """

    late: int
    to_answer: int
    asked: int
    strange: int
    waiting: int
    sharing: int
    making: int
    finished: int
    sheets: int
    printed: int
    left_alone: int

    @property
    def orders(self) -> int:
        """How many orders are not printed."""
        return self.to_answer + self.asked + self.waiting + self.sharing + self.making + self.finished


def count(seen: Overview, today: date) -> Counts:
    """Count the orders; those that are too many to be listed are counted as what most of their kind are."""
    held = seen.held.entries
    asked = sum(order.needs is HeldFor.YES for order in held if order.is_ours)
    strange = sum(not order.is_ours for order in held)
    sharing = sum(order.progress is Progress.SHARING for order in seen.making.entries)
    return Counts(
        late=sum(due_group(entry.due, today) is DueGroup.LATE for entry in week_of(seen)),
        to_answer=seen.held.count - asked - strange,
        asked=asked,
        strange=strange,
        waiting=seen.waiting.count,
        sharing=sharing,
        making=seen.making.count - sharing,
        finished=_orders_in(seen.finished),
        sheets=sum(pile.sheets for pile in seen.paper),
        printed=_orders_in(seen.printed),
        left_alone=seen.left_alone.count,
    )


def _orders_in(folders: Listed[FinishedOrder]) -> int:
    return _orders(folders.entries) + folders.more


def _orders(folders: Iterable[FinishedOrder]) -> int:
    return sum(len(folder.orders) or 1 for folder in folders)
