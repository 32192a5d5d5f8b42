"""Orders that cannot be made as they are: set aside with the reason, in `held`."""

from dataclasses import replace
from pathlib import Path

from loguru import logger

from watcher.answer import Answer
from watcher.floor.book import Book
from watcher.floor.in_hand import InHand, OrderTask
from watcher.orders.model import Order
from watcher.outbox.hold import hold
from watcher.records.journal import State
from watcher.shop import Shop
from watcher.steps import Step, reached
from watcher.terms import HeldFor


class Aside:
    """Sets orders aside.

    Attributes:
        held: how many since the start.
    """

    def __init__(self, shop: Shop, book: Book, in_hand: InHand) -> None:
        self._shop, self._book, self._in_hand = shop, book, in_hand
        self.held = 0

    def hold(
        self,
        order: Order,
        reasons: tuple[str, ...],
        *,
        soft: bool = False,
        needs: HeldFor = HeldFor.ART,
        pictures: tuple[Path, ...] = (),
    ) -> None:
        """Set an order aside.

        Args:
            order: whose files lie in the archive.
            reasons: sentences for people.
            soft: whether the person may accept it as it is.
            needs: what it waits for.
            pictures: what is to lie beside its files.

        Raises:
            OSError: its files cannot be moved now.
        """
        note = hold(
            order,
            reasons,
            soft=soft,
            needs=needs,
            pictures=pictures,
            archive=self._shop.archive,
            held=self._shop.held,
            since=self._shop.stamp(),
        )
        self._book.remember(self._book.entry(order, State.HELD, folder=note.folder, says=note.why))
        reached(Step.HELD_KEPT)
        before = self._shop.journal.find(order.number)
        self._in_hand.end(order.number, before.art if before else "")
        self.held += 1
        kind = "waits for a yes" if needs is HeldFor.YES else "held"
        self._shop.log.add(f"{note.folder}: {kind}: {note.why}")

    def hold_as_answered(self, task: OrderTask, answer: Answer) -> None:
        """Set an order aside for what a worker says of it."""
        pictures = tuple(task.job.building / name for name in answer.pictures)
        self.hold(task.order, answer.held, soft=answer.soft, needs=answer.needs, pictures=pictures)

    def hold_for_fault(self, order: Order, error: Exception) -> None:
        """A fault of ours over one order: it is logged and the order set aside next, and the others go on."""
        logger.exception("order {number} broke down", number=order.number)
        if order.fault:
            logger.error("order {number} stays in the archive as it was taken", number=order.number)
            return
        reason = f"An internal fault ({type(error).__name__}) kept this order from being made; service.log has more."
        self._in_hand.line.add_again(replace(order, fault=reason))


def files_of(order: Order) -> str:
    """The art of an order for people; where it lies in the archive still, the ticket that asks for it."""
    return order.shown_art or ", ".join(file.name for file in order.files)
