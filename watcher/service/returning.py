"""What others do to files in hand, and what the disk does: orders that go back to the inbox, or back into the line."""

from collections import Counter

from watcher.disk import sha256_of
from watcher.orders.claim import put_back, taking_folder
from watcher.orders.model import Order
from watcher.outbox.product import building_folder, drop_product
from watcher.records.trouble import is_of_the_disk
from watcher.service.holding import Aside
from watcher.service.in_hand import InHand
from watcher.service.journal_writing import Book
from watcher.service.shop import Shop

WRITTEN_TO = "was written to while it was made"
WENT_BACK = 3  # an order whose files are written to while it is made goes back so many times, then it is set aside


class Back:
    """Sends orders back that cannot be gone on with now.

    Attributes:
        times: how often each order, by its key, went back to the inbox since the start.
    """

    def __init__(self, shop: Shop, book: Book, in_hand: InHand, aside: Aside) -> None:
        self._shop, self._book, self._in_hand, self._aside = shop, book, in_hand, aside
        self.times: Counter[str] = Counter()

    def put_off(self, order: Order, error: OSError) -> None:
        """An order that cannot be gone on with now: later, when disk, rights and mounts are well again."""
        if not is_of_the_disk(error):
            self._aside.hold_for_fault(order, error)
        elif self._is_robbed(order):
            self.give_back(order, "was taken away while it was made")
        else:
            drop_product(building_folder(self._shop.archive, order.number))  # nobody is at work on it now
            self._in_hand.line.add_again(order)
            self._book.pause(error)

    def _is_robbed(self, order: Order) -> bool:
        """Whether somebody has taken files of the order out of the archive, which is there."""
        folder = taking_folder(self._shop.archive, order.number)
        return self._shop.roots.are_there() and not all((folder / file.name).is_file() for file in order.files)

    def was_written_to(self, order: Order, *, every_byte: bool = False) -> bool:
        """Whether a program that had a file open has gone on writing to it after it was taken.

        Args:
            order: whose files lie in the archive.
            every_byte: whether to read the files too; else their sizes alone are compared.

        Returns:
            False too when that has happened to it so often that it is to be set aside.
        """
        folder = taking_folder(self._shop.archive, order.number)
        there = [(folder / file.name, file) for file in order.files if (folder / file.name).exists()]
        changed = any(path.stat().st_size != file.size for path, file in there)
        changed = changed or (every_byte and any(sha256_of(path) != file.sha256 for path, file in there))
        return changed and self.times[order.key] < WENT_BACK

    def give_back(self, order: Order, why: str) -> None:
        """An order that is not any more what was taken goes back to the inbox, where it must rest again.

        Args:
            order: whose files lie in the archive, if they lie there still.
            why: what happened to it, as in `WRITTEN_TO`.
        """
        try:
            self._shop.roots.check()
            put_back(order, self._shop.archive)
            self._shop.journal.forget(order.number)
        except OSError as error:
            self._in_hand.line.add_again(order)
            self._book.pause(error)
            return
        self.times[order.key] += 1
        self._in_hand.alone.discard(order.number)
        drop_product(building_folder(self._shop.archive, order.number))
        self._shop.log.add(f"{order.name}: {why}; what is there of it lies in the inbox again")
