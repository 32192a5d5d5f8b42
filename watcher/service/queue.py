"""Taken orders that wait for a worker, in the order in which they are made: by when they are due, then as they came.

What its job ticket wants `now` goes before every date.

An order with a worker is never interrupted. One that must be made again goes before all others.
"""

import bisect
from collections import deque
from collections.abc import Collection, Iterator

from watcher.orders.model import Order

NEVER = "9999-99-99"  # behind every date
AT_ONCE = ""  # before every date


class Queue:
    """Orders that wait for a worker. One that repeats another order waits while that one is being made."""

    def __init__(self) -> None:
        self._again: deque[Order] = deque()
        self._queue: list[Order] = []

    def __iter__(self) -> Iterator[Order]:
        return iter([*self._again, *self._queue])

    def __len__(self) -> int:
        return len(self._again) + len(self._queue)

    def add(self, order: Order) -> None:
        """Queue an order by its due date, behind those that came before it with the same date."""
        bisect.insort(self._queue, order, key=_rank)

    def add_again(self, order: Order) -> None:
        """Put an order that was begun already before all others."""
        self._again.appendleft(order)

    @property
    def last_due(self) -> str:
        """When the last one is due, ISO 8601; `NEVER` where it is due at no date."""
        return _rank(self._queue[-1])[0] if self._queue else NEVER

    def next(self, begun: Collection[str], passing_over: Collection[int] = ()) -> Order | None:
        """The order whose turn it is; None when there is none.

        Args:
            begun: the compared names of the orders that are being made.
            passing_over: numbers of orders whose turn it is not.
        """
        coming = {*begun, *(order.key for order in self if order.repeat is None)}
        may_come = (order for order in self if order.number not in passing_over)
        return next((order for order in may_come if order.repeat is None or order.key not in coming), None)

    def take(self, order: Order) -> None:
        """Take an order out of the queue, as it is its turn."""
        if order in self._again:
            self._again.remove(order)
        else:
            self._queue.remove(order)


def _rank(order: Order) -> tuple[str, int]:
    return (AT_ONCE if order.wishes.now else str(order.wishes.due or NEVER)), order.number
