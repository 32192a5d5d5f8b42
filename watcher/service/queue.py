"""Taken orders that wait for a worker, in the order in which they are made: by when they are due, then as they came.

What its job ticket wants `now` goes before every date.

An order in hand is never interrupted. One that was in hand and must be done over goes before all others.
"""

import bisect
from collections import deque
from collections.abc import Collection, Iterator

from watcher.orders.model import Order

NEVER = "9999-99-99"  # behind every date
AT_ONCE = ""  # before every date


class InLine:
    """The line. An order that repeats another one stands aside while that one is being made."""

    def __init__(self) -> None:
        self._over: deque[Order] = deque()
        self._line: list[Order] = []

    def __iter__(self) -> Iterator[Order]:
        return iter([*self._over, *self._line])

    def __len__(self) -> int:
        return len(self._over) + len(self._line)

    def add(self, order: Order) -> None:
        """Put an order where its due date belongs, behind those that came before it with the same date."""
        bisect.insort(self._line, order, key=_rank)

    def add_again(self, order: Order) -> None:
        """Put an order that was in hand already before all others."""
        self._over.appendleft(order)

    @property
    def last_due(self) -> str:
        """When the last in line is due, ISO 8601; `NEVER` where it is due at no date."""
        return _rank(self._line[-1])[0] if self._line else NEVER

    def next(self, in_hand: Collection[str]) -> Order | None:
        """The order whose turn it is; None when there is none.

        Args:
            in_hand: the compared names of the orders that are being made.
        """
        coming = {*in_hand, *(order.key for order in self if order.repeat is None)}
        return next((order for order in self if order.repeat is None or order.key not in coming), None)

    def take(self, order: Order) -> None:
        """It is its turn: the order leaves the line."""
        if order in self._over:
            self._over.remove(order)
        else:
            self._line.remove(order)


def _rank(order: Order) -> tuple[str, int]:
    return (AT_ONCE if order.wishes.now else str(order.wishes.due or NEVER)), order.number
