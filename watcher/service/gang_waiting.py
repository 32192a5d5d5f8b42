"""Orders that wait for others to share sheets with, and those that no longer do."""

from collections.abc import Collection, Iterable
from contextlib import suppress
from dataclasses import replace

from watcher.orders.claim import taking_folder
from watcher.orders.model import Order
from watcher.outbox.product import drop_product
from watcher.records.journal import State
from watcher.service.in_hand import InHand
from watcher.service.journal_writing import Book
from watcher.service.shop import Shop
from watcher.steps import Step, reached
from watcher.work.job import Job


class Sharing:
    """Has orders wait for others, or be made singly."""

    def __init__(self, shop: Shop, book: Book, in_hand: InHand) -> None:
        self._shop, self._book, self._in_hand = shop, book, in_hand

    def let_share(self, order: Order, job: Job) -> None:
        """An order whose art is good waits for others to share its sheets with."""
        self._in_hand.alone.discard(order.number)
        drop_product(job.building)
        self._in_hand.runs.let_wait(order)
        self._book.remember(self._book.entry(order, State.SHARING, art=job.order_sha256))
        reached(Step.SHARING)

    def share_again(self, orders: Iterable[Order]) -> None:
        """Orders whose run was not made wait for another; what they have waited already counts."""
        for order in orders:
            self._in_hand.runs.let_wait(order)
            with suppress(OSError):  # what it says is for people; the order is taken up from its note
                entry = self._shop.journal.find(order.number)
                if entry is not None:
                    self._book.remember(replace(entry, state=State.SHARING, folder="", run=""))

    def make_singly(self, orders: Collection[Order]) -> None:
        """Orders that share with none are made next, in their order."""
        for order in reversed(tuple(orders)):
            self._in_hand.runs.singly.add(order.number)
            self._in_hand.line.add_again(order)

    def not_held(self, orders: Iterable[Order]) -> list[Order]:
        """Those whose files have gone neither to held nor to the archive."""
        return [order for order in orders if taking_folder(self._shop.archive, order.number).exists()]
