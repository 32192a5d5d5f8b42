"""Share the computer's memory between the orders that are made at the same time: what has no room waits for it."""

import time
from collections.abc import Collection, Iterable
from pathlib import Path

from watcher.orders.claim import taking_folder
from watcher.orders.memory_need import memory_need
from watcher.orders.model import Order

# Left to the system and what else runs, the service (35 MB, measured) and a worker that waits for its task (100 MB).
FOR_OTHERS_BYTES = 350_000_000
PATIENCE_S = 60.0  # so long others may go before an order that waits for room


class MemoryBudget:
    """The memory that orders may take together.

    Args:
        memory_bytes: what the computer has for the program in all; None: no order ever waits.
        archive: where taken orders and finished ones lie.
    """

    def __init__(self, memory_bytes: int | None, archive: Path) -> None:
        self._most = None if memory_bytes is None else max(0, memory_bytes - FOR_OTHERS_BYTES)
        self._archive = archive
        self._needs: dict[int, int] = {}
        self._since: dict[int, float] = {}  # when an order was first found to have no room, steady clock, s

    def has_room(self, orders: Iterable[Order], begun: Collection[Order]) -> bool:
        """Whether these orders can be made beside those that were begun. One by itself always can."""
        if self._most is None or not begun:
            return True
        return sum(map(self._need, orders)) <= self._most - sum(map(self._need, begun))

    def waiting(self, queue: Collection[Order], begun: Collection[Order]) -> frozenset[int]:
        """Give the numbers of the queued orders that must wait until others are finished.

        Small ones may go before a large one, but not for longer than `PATIENCE_S`: then all of them wait for it.
        """
        if self._most is None:
            return frozenset()
        self._forget_all_but([*queue, *begun])
        late = {order.number for order in queue if not self.has_room([order], begun)}
        now = time.monotonic()
        self._since = {number: self._since.get(number, now) for number in late}
        if any(now - since >= PATIENCE_S for since in self._since.values()):
            return frozenset(order.number for order in queue)
        return frozenset(late)

    def _need(self, order: Order) -> int:
        if order.number not in self._needs:
            folder = taking_folder(self._archive, order.number)
            self._needs[order.number] = memory_need(order, folder, self._archive)
        return self._needs[order.number]

    def _forget_all_but(self, orders: Iterable[Order]) -> None:
        there = {order.number for order in orders}
        self._needs = {number: need for number, need in self._needs.items() if number in there}
