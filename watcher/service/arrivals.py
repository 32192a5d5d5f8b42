"""Orders that come in: taken just now, or left over by a stop or a crash; these are made again, completed or closed."""

from dataclasses import replace
from pathlib import Path

from watcher.archive.order_ticket import TICKET_SUFFIX
from watcher.archive.ticket_reader import read_ticket
from watcher.disk import sha256_of
from watcher.orders.claim import drop_taking, note_of, read_note
from watcher.orders.model import Order
from watcher.outbox.product import building_folder
from watcher.outbox.publish import deliver
from watcher.records.journal import Entry, State
from watcher.service.announcing import Announcing
from watcher.service.delivery import Delivery
from watcher.service.holding import Aside, files_of
from watcher.service.in_hand import InHand
from watcher.service.journal_writing import Book
from watcher.service.shop import Shop
from watcher.steps import Step, reached

_STARTS = 5  # an order with which the service itself dies so many times in a row is set aside
_STARTS_OF_A_RUN = 2  # one of a run is made singly before


class Arrivals:
    """Puts orders into the line, or brings to their end those that have left it."""

    def __init__(
        self, shop: Shop, in_hand: InHand, *, book: Book, aside: Aside, delivery: Delivery, announcing: Announcing
    ) -> None:
        self._shop, self._in_hand, self._book = shop, in_hand, book
        self._aside, self._delivery, self._announcing = aside, delivery, announcing

    def add(self, order: Order) -> None:
        """Queue a taken order."""
        self._in_hand.line.add(order)
        self._book.remember(self._book.entry(order, State.TAKEN))
        reached(Step.QUEUED)

    def resume(self, order: Order, entry: Entry | None) -> None:
        """Queue an order again that was on its way when the service stopped.

        One that was in hand when the service died may be why it died: it is tried alone, before all others, and set
        aside when that has gone wrong `_STARTS` times in a row. A death before a worker was at work on it, or after it
        had made the sheets, says nothing against it.
        """
        if entry is None or entry.state is not State.MAKING or not entry.art:
            self.add(order)
            return
        # a death before a worker was at work on it says nothing; a run is made singly after any two
        counts = bool(entry.run) or self._was_at_work(order)
        deaths = self._shop.journal.count_service_death(entry.art) if counts else 0
        if entry.run and deaths < _STARTS_OF_A_RUN:  # a power cut, most likely: it goes back to those it shared with
            self.add(order)
            return
        if entry.run:
            self._in_hand.runs.singly.add(order.number)
        if deaths >= _STARTS:
            self._shop.journal.forgive(entry.art)
            fault = f"The service died {_STARTS} times while it made this order ({files_of(order)})."
            self.add(replace(order, fault=fault))
            return
        self._book.remember(self._book.entry(order, State.TAKEN, art=entry.art))
        self._in_hand.alone.add(order.number)
        self._in_hand.line.add_again(order)

    def _was_at_work(self, order: Order) -> bool:
        """Whether a worker had begun with the order and had not come to its end."""
        building = building_folder(self._shop.archive, order.number)
        return building.is_dir() and _name_in(building) is None

    def finish_delivery(self, order: Order, entry: Entry | None) -> None:
        """Complete what a crash cut short after the art had its final place in the archive or in held."""
        name = _name_in(building_folder(self._shop.archive, order.number))
        if name is not None and read_ticket(self._shop.archive / name / (name + TICKET_SUFFIX)) is not None:
            deliver(order.number, name, archive=self._shop.archive, outbox=self._shop.outbox)
        claimed = read_note(note_of(self._shop.archive, order.number))
        if entry is None or entry.key != claimed.key:  # the journal was lost in the same moment
            entry = self._made_from(claimed)
        if entry is not None and entry.state in (State.DELIVERING, State.DONE):
            self._delivery.finish(replace(entry, number=order.number), again=True)
        elif entry is not None and entry.state is State.SAME:
            self._announcing.end(order.number)
        else:
            self._aside.finish(claimed, entry)

    def _made_from(self, order: Order) -> Entry | None:
        """The newest order of the archive that was made from these very files, as the journal has it."""
        for entry in self._shop.journal.made_as(order.key):
            folder = self._shop.archive / entry.folder
            files = {folder / file.name: file.sha256 for file in order.files}
            if all(path.is_file() and sha256_of(path) == digest for path, digest in files.items()):
                return entry
        return None

    def finish_same(self, order: Order, entry: Entry) -> None:
        """Complete what a crash cut short over an order of the very art whose sheets still lay in the outbox."""
        made = next(iter(self._shop.journal.made_of(entry.art)), entry)
        begin = f"{order.name}: the same art again; "
        line = f"{begin}its sheets still lie in the outbox ({made.in_outbox})"
        self._announcing.log(line, since=entry.since, begin=begin)
        drop_taking(self._shop.archive, order.number)

    def close(self, entry: Entry) -> None:
        """An order that the journal says is on its way, but of which nothing is on its way any more, has arrived."""
        ticket = self._shop.archive / entry.folder / (entry.folder + TICKET_SUFFIX)
        if entry.state is State.DELIVERING and ticket.is_file():
            self._delivery.finish(entry, again=True)
        else:
            self._shop.journal.forget(entry.number)


def _name_in(building: Path) -> str | None:
    """The order that a finished product in its building folder is for; None while it is not finished."""
    for file in building.glob(f"*{TICKET_SUFFIX}"):
        ticket = read_ticket(file)
        if ticket is not None and ticket.order:
            return ticket.order
    return None
