"""Finished orders: delivered to outbox and archive now or, after a pause, later; and what is told about them then."""

from contextlib import suppress
from dataclasses import replace

from watcher.floor.back import WRITTEN_TO, Back
from watcher.floor.book import Book
from watcher.floor.in_hand import InHand, OrderTask
from watcher.inbox.file_names import compare_key
from watcher.job import Made
from watcher.orders.claim import taking_folder
from watcher.orders.say import earlier_words
from watcher.outbox.finished import FinishedCommands
from watcher.outbox.publish import NameTaken, deliver, point_to_newer, sheet_files, still_there
from watcher.records.archived import Archived, read_archived, read_order_ticket
from watcher.records.journal import Entry, State
from watcher.records.plain_text import one_line
from watcher.records.ticket import TICKET_SUFFIX
from watcher.shop import Shop
from watcher.steps import Step, reached
from watcher.terms import Side


class Delivery:
    """Delivers orders that were made singly, and finishes all.

    Attributes:
        made: how many orders have been finished since the start.
    """

    def __init__(self, shop: Shop, book: Book, in_hand: InHand, back: Back, commands: FinishedCommands) -> None:
        self._shop, self._book, self._in_hand, self._back = shop, book, in_hand, back
        self._commands = commands
        self.made = 0

    def deliver(self, task: OrderTask, made: Made) -> bool:
        """Deliver, now or later; False when it is to be tried again."""
        try:
            self._shop.roots.check()
            if self._back.was_written_to(task.order):
                self._back.give_back(task.order, WRITTEN_TO)
                return True
            self._deliver(task, made)
        except NameTaken:
            self._in_hand.line.add_again(task.order)  # somebody else made a folder of that name: make it under another
        except OSError as error:
            if self._is_product_lost(task):
                self._in_hand.line.add_again(task.order)
                return True
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

    def _is_product_lost(self, task: OrderTask) -> bool:
        """Whether the outbox is there, but not what was made for it: it was made anew, or its drive came back."""
        art = taking_folder(self._shop.archive, task.order.number)
        return self._shop.roots.are_there() and art.exists() and not task.job.building.exists()

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

    def finish(self, entry: Entry) -> None:
        """What is left to do about an order that lies in archive and outbox."""
        with suppress(OSError):  # a note that cannot be left harms nothing
            self._note_newer(entry)
        self._book.remember(replace(entry, state=State.DONE, since=self._shop.stamp()))
        reached(Step.DONE)
        self._in_hand.end(entry.number, entry.art)
        self.made += 1
        self._shop.log.add(f"{entry.folder}: made: {entry.says}")
        if not entry.run:
            self._tell(entry.folder)
        elif entry.run not in self._in_hand.runs.untold:
            self._in_hand.runs.untold.append(entry.run)

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
        """Start the shop's own command for runs that have been delivered, once for each."""
        while self._in_hand.runs.untold:
            self._tell(self._in_hand.runs.untold.pop(0))

    def _tell(self, folder: str) -> None:
        """Start the shop's own command for the sheets in a folder of the outbox."""
        sheets = sheet_files(self._shop.outbox, folder)
        if sheets:  # else somebody was very quick to collect them
            self._commands.start(self._shop.settings.service.on_finished, sheets, folder)


def _is_other_art(newer: Archived | None, earlier: Archived | None) -> bool:
    """Whether sheets of an order are outdated by those of a newer one of its name: a side of a card is another now.

    A repeat brings nothing new, whichever of several arts it repeats; nor do other designs, or another card.
    Where a ticket cannot be read, nothing is said.
    """
    if newer is None or earlier is None or newer.repeat_of is not None:
        return False
    if compare_key(newer.card) != compare_key(earlier.card):
        return False
    there = _art_by_place(earlier)
    return any(there.get(place, art) != art for place, art in _art_by_place(newer).items())


def _art_by_place(order: Archived) -> dict[tuple[int, Side], tuple[str, int]]:
    return {(one.design, one.side): (one.sha256, one.page or 0) for one in order.art}
