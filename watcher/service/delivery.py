"""Finished orders: delivered to outbox and archive now or, after a pause, later; and what is told about them then."""

from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace

from loguru import logger

from watcher.archive.archived import Archived, read_archived, read_order_ticket
from watcher.archive.order_ticket import TICKET_SUFFIX
from watcher.archive.ticket_reader import read_ticket
from watcher.inbox.file_names import compare_key
from watcher.orders.claim import taking_folder
from watcher.orders.quantity import counted
from watcher.orders.say import earlier_words
from watcher.outbox.product import drop_product, is_whole
from watcher.outbox.publish import NameTaken, TakenTooSoon, deliver, make_sure_of_room, point_to_newer, still_there
from watcher.records.journal import Entry, State
from watcher.records.plain_text import one_line
from watcher.service.announcing import Announcing
from watcher.service.in_hand import InHand, OrderTask
from watcher.service.journal_writing import Book
from watcher.service.returning import WRITTEN_TO, Back
from watcher.service.shop import Shop
from watcher.steps import Step, reached
from watcher.terms import Side
from watcher.work.job import Made

MADE_AGAIN = 3  # an order whose product is taken away is made so many times in a row, then again after a pause

ROBBED = (
    "files of {order} were taken away three times while they were being made in {folder}. Let nobody empty that folder"
)


class Delivery:
    """Delivers orders that were made singly, and finishes all.

    Attributes:
        made: how many orders have been finished since the start.
    """

    def __init__(self, shop: Shop, book: Book, in_hand: InHand, back: Back, announcing: Announcing) -> None:
        self._shop, self._book, self._in_hand, self._back = shop, book, in_hand, back
        self._announcing = announcing
        self._robbed = Counter[int]()
        self.made = 0

    def deliver(self, task: OrderTask, made: Made) -> bool:
        """Deliver, now or later; False when it is to be tried again."""
        try:
            self._shop.roots.check()
            if self._back.was_written_to(task.order):
                self._back.give_back(task.order, WRITTEN_TO)
                return True
            if self._is_product_lost(task, made):
                return self._make_again(task)
            make_sure_of_room(made.product, archive=self._shop.archive, outbox=self._shop.outbox)
            self._deliver(task, made)
        except NameTaken:
            self._in_hand.line.add_again(task.order)  # somebody else made a folder of that name: make it under another
        except OSError as error:
            if self._is_product_lost(task, made):
                return self._make_again(task)
            self._in_hand.undelivered.insert(0, (task, made))
            self._book.pause(error)
            return False
        return True

    def deliver_late(self) -> bool:
        """Try again what could not be delivered; False while that is still so."""
        while self._in_hand.undelivered:
            if not self.deliver(*self._in_hand.undelivered.pop(0)):
                return False
            self._book.go_on()
        return True

    def _is_product_lost(self, task: OrderTask, made: Made) -> bool:
        """Whether the folders are there, and the art, but not all files of what was made of it."""
        art = taking_folder(self._shop.archive, task.order.number)
        return self._shop.roots.are_there() and art.exists() and not is_whole(task.job.building, made.product)

    def _make_again(self, task: OrderTask) -> bool:
        """Make an order again whose product is not whole any more; False when that happens again and again."""
        order = task.order
        self._robbed[order.number] += 1
        logger.warning("{order}: files were taken out of what was made; made again", order=one_line(order.name))
        drop_product(task.job.building)
        self._in_hand.line.add_again(order)
        if self._robbed[order.number] % MADE_AGAIN:
            return True
        self._book.pause(TakenTooSoon(ROBBED.format(order=one_line(order.name), folder=self._shop.archive)))
        return False

    def _deliver(self, task: OrderTask, made: Made) -> None:
        order, job = task.order, task.job
        again = "" if job.repeat_of is None else f"; {job.repeat_of} again"
        says = f"{made.words}{again}{earlier_words(order)}"
        entry = self._book.entry(
            order, State.DELIVERING, folder=job.name, art=job.order_sha256, sheets=made.sheets, says=says
        )
        self._book.write(entry)
        reached(Step.DELIVERING)
        deliver(order.number, job.name, archive=self._shop.archive, outbox=self._shop.outbox)
        self.finish(entry)

    def finish(self, entry: Entry, *, again: bool = False) -> None:
        """What is left to do about an order that lies in archive and outbox.

        Args:
            entry: what the journal says of it.
            again: a crash cut that short, nobody knows where.
        """
        with suppress(OSError):  # a note that cannot be left harms nothing
            self._note_newer(entry)
        if entry.state is not State.DONE:
            self._book.remember(replace(entry, state=State.DONE, since=self._shop.stamp()))
            self.made += 1
        self._robbed.pop(entry.number, None)
        reached(Step.DONE)
        self._in_hand.end(entry.number, entry.art)
        made = f"{entry.folder}: made: "
        self._announcing.log(made + entry.says, since=entry.since if again else "", begin=made)
        if entry.run:
            self._in_hand.runs.untold.setdefault(entry.run, []).append(entry)
        else:
            self._announcing.call(entry, [entry.number])

    def _note_newer(self, made: Entry) -> None:
        """Uncollected earlier orders of this name with other art get a note."""
        others = [
            entry
            for entry in self._shop.journal.made_as(made.key)
            if entry.folder != made.folder and entry.in_outbox != made.in_outbox
        ]
        if not others:  # nearly always, and reading its ticket takes longer than to find that out
            return
        newer = self._archived(made)
        for entry in others:
            is_other = _is_other_art(newer, self._archived(entry))
            if is_other and still_there(self._shop.outbox, entry.in_outbox):
                name = one_line(entry.name) if entry.run else None
                point_to_newer(self._shop.outbox, entry.in_outbox, made.in_outbox, name)

    def _archived(self, entry: Entry) -> Archived | None:
        """What a finished order's ticket tells, out of the archive or from beside its sheets."""
        beside = self._shop.outbox / entry.in_outbox / (entry.folder + TICKET_SUFFIX)
        return read_archived(self._shop.archive / entry.folder) or read_order_ticket(beside)

    def tell_runs(self) -> None:
        """Tell of runs whose delivery was cut short, once of each."""
        for run, entries in tuple(self._in_hand.runs.untold.items()):
            orders = _orders_of(self._shop, entries)
            self.tell_run(run, f"{counted(entries[0].sheets, 'sheet')} for {orders} orders", again=True)

    def tell_run(self, run: str, words: str, *, again: bool = False) -> None:
        """Tell of a run that has been delivered: the log for people, and the shop's own command.

        Args:
            run: its name.
            words: its count for people.
            again: a crash cut that short, nobody knows where.
        """
        entries, made = self._in_hand.runs.untold.pop(run), f"{run}: made: "
        since = min(entry.since for entry in entries) if again else ""
        self._announcing.log(made + words, since=since, begin=made)
        self._announcing.call(entries[0], [entry.number for entry in entries])


def _orders_of(shop: Shop, entries: Sequence[Entry]) -> int:
    """How many orders share a run, as the ticket of one of them tells it."""
    folder = entries[0].folder
    ticket = read_ticket(shop.archive / folder / (folder + TICKET_SUFFIX))
    return len(ticket.run_orders) if ticket and ticket.run_orders else len(entries)


def _is_other_art(newer: Archived | None, earlier: Archived | None) -> bool:
    """Whether sheets of an order are outdated by those of a newer one of its name: a side of a card is another now.

    A repeat brings nothing new, whichever of several arts it repeats; nor do other designs, or another card.
    Where a ticket cannot be read, nothing is said.
    """
    if newer is None or earlier is None or newer.repeat_of is not None:
        return False
    if compare_key(newer.wishes.card) != compare_key(earlier.wishes.card):
        return False
    there = _art_by_place(earlier)
    return any(there.get(place, art) != art for place, art in _art_by_place(newer).items())


def _art_by_place(order: Archived) -> dict[tuple[int, Side], tuple[str, int]]:
    return {(one.design, one.side): (one.sha256, one.page or 0) for one in order.art}
