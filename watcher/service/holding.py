"""Orders that cannot be made as they are: set aside with the reason, in `held`."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from loguru import logger

from watcher.orders.held_note import HeldNote, read_held_note
from watcher.orders.model import Order
from watcher.outbox.hold import hold
from watcher.records.journal import Entry, State
from watcher.service.announcing import Announcing
from watcher.service.in_hand import InHand, OrderTask
from watcher.service.journal_writing import Book
from watcher.service.shop import Shop
from watcher.steps import Step, reached
from watcher.terms import Finding, HeldFor
from watcher.work.answer import Answer


class Aside:
    """Sets orders aside.

    Attributes:
        held: how many since the start.
    """

    def __init__(self, shop: Shop, book: Book, in_hand: InHand, announcing: Announcing) -> None:
        self._shop, self._book, self._in_hand, self._announcing = shop, book, in_hand, announcing
        self.held = 0

    def hold(
        self,
        order: Order,
        reasons: Sequence[str | Finding],
        *,
        soft: bool = False,
        needs: HeldFor = HeldFor.ART,
        pictures: tuple[Path, ...] = (),
    ) -> None:
        """Set an order aside.

        Args:
            order: whose files lie in the archive.
            reasons: findings, or sentences for people.
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
        self._announcing.log(_line(note))
        self._announcing.end(order.number)

    def finish(self, order: Order, entry: Entry | None) -> None:
        """What is left to do about an order that a crash caught on its way into `held`.

        Args:
            order: as its note says.
            entry: what the journal says of it.
        """
        note = _held_as(order, self._shop.held)
        entry = entry or self._book.entry(order, State.HELD)
        if note is not None:
            entry = replace(entry, state=State.HELD, folder=note.folder, says=note.why)
            begin = _line(replace(note, why=""))
            self._announcing.log(_line(note), since=note.since, begin=begin)
        if entry.state is not State.HELD or note is not None:
            self._book.write(replace(entry, state=State.HELD))
        self._announcing.end(order.number)

    def hold_as_answered(self, task: OrderTask, answer: Answer) -> None:
        """Set an order aside for what a worker says of it."""
        pictures = tuple(task.job.building / name for name in answer.pictures)
        self.hold(task.order, answer.reasons, soft=answer.soft, needs=answer.needs, pictures=pictures)

    def hold_for_fault(self, order: Order, error: Exception) -> None:
        """A fault of ours over one order: it is logged and the order set aside next, and the others go on."""
        logger.exception("order {number} broke down", number=order.number)
        if order.fault:
            logger.error("order {number} stays in the archive as it was taken", number=order.number)
            return
        reason = f"An internal fault ({type(error).__name__}) kept this order from being made; service.log has more."
        self._in_hand.line.add_again(replace(order, fault=reason))


def _line(note: HeldNote) -> str:
    """The line in the log for people."""
    kind = "waits for a yes" if note.needs is HeldFor.YES else "held"
    return f"{note.folder}: {kind}: {note.why}"


def _held_as(order: Order, held: Path) -> HeldNote | None:
    """The note of the newest folder in held with these very files; None where there is none any more."""
    files = {(file.name, file.sha256) for file in order.files}
    notes = [note for place in held.iterdir() if (note := read_held_note(place)) is not None]
    same = [
        note for note in notes if note.key == order.key and {(file.name, file.sha256) for file in note.files} == files
    ]
    return max(same, key=lambda note: note.since, default=None)


def files_of(order: Order) -> str:
    """The art of an order for people; where it lies in the archive still, the ticket that asks for it."""
    return order.shown_art or ", ".join(file.name for file in order.files)
