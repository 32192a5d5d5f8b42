"""Tell of an order that has reached its end: the log for people, the shop's own command; its claim's note goes last.

Until then the note tells the next start that somebody may not have been told. So each order is told of at least once,
whenever the service dies; the log is looked at first, so that there it stands once.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from watcher.archive.order_ticket import TICKET_SUFFIX, PrintFile
from watcher.archive.ticket_reader import OrderTicket, read_ticket
from watcher.orders.recover import forget_note
from watcher.outbox.finished import Delivered, FinishedCommands, calls_for
from watcher.outbox.publish import sheet_files
from watcher.records.journal import Entry
from watcher.service.shop import Shop
from watcher.settings.papers import media_name
from watcher.steps import Step, reached
from watcher.terms import Copies, Flip


@dataclass
class _Open:
    """Orders of which not everybody has been told."""

    numbers: list[int]
    is_told: bool = False


class Announcing:
    """Tells of orders, and drops their notes when that is done."""

    def __init__(self, shop: Shop, commands: FinishedCommands) -> None:
        self._shop, self._commands = shop, commands
        self._open: list[_Open] = []

    def log(self, event: str, *, since: str = "", begin: str = "") -> None:
        """Write a line into the log for people.

        Args:
            event: the line.
            since: ISO 8601; where it is given, the line is written only if none of this kind has been since then.
            begin: how a line of this kind begins.
        """
        if not (since and self._shop.log.has_said(begin, since)):
            self._shop.log.add(event)
        reached(Step.LOGGED)

    def end(self, number: int) -> None:
        """Everybody has been told of an order for which no command is called: its note goes."""
        self._open.append(_Open(numbers=[number], is_told=True))
        self.settle()

    def call(self, entry: Entry, numbers: Collection[int]) -> None:
        """Start the shop's own command for a folder in the outbox; when it has ended, the notes go.

        Args:
            entry: the order, or any of the orders of a run.
            numbers: of all orders whose sheets lie in the folder.
        """
        told = _Open(numbers=list(numbers))
        self._open.append(told)
        calls = calls_for(self._shop.settings.service.on_finished, self._delivered(entry))
        if calls and calls[0]:
            self._commands.start(calls, entry.in_outbox, lambda: _is_told(told))
            reached(Step.CALLED)
        else:
            _is_told(told)
        self.settle()

    def settle(self) -> None:
        """Drop the notes of orders of which everybody has been told, and the log's lines are on the disk."""
        if not self._shop.log.is_written:
            return
        self._open = [one for one in self._open if not (one.is_told and self._drop(one.numbers))]

    def _drop(self, numbers: list[int]) -> bool:
        """Whether the notes are gone; disk or rights may stand in the way for now."""
        try:
            while numbers:
                forget_note(self._shop.archive, numbers[0])
                numbers.pop(0)
                reached(Step.FORGOTTEN)
        except OSError:
            return False
        return True

    def _delivered(self, entry: Entry) -> Delivered:
        file = self._shop.archive / entry.folder / (entry.folder + TICKET_SUFFIX)
        ticket = read_ticket(file) or OrderTicket()
        return Delivered(
            folder=self._shop.outbox / entry.in_outbox,
            ticket=file,
            files=ticket.printing or tuple(self._printing_before(entry, ticket)),
        )

    def _printing_before(self, entry: Entry, ticket: OrderTicket) -> Iterator[PrintFile]:
        """How the sheets are printed of an order that an earlier version made, whose ticket does not tell it."""
        flip = ticket.flip
        settings = self._shop.settings.sheets.get(ticket.sheet)
        for file in sheet_files(self._shop.outbox, entry.in_outbox):
            is_two_sided = file.name.endswith("_sheets.pdf") and flip in list(Flip)
            yield PrintFile(
                file=file.name,
                copies=1 if settings and settings.copies is Copies.PAGES else entry.sheets or 1,
                sides=f"two-sided-{flip}" if is_two_sided else "one-sided",
                media=media_name(settings.size) if settings else "",
            )


def _is_told(one: _Open) -> None:
    one.is_told = True
    reached(Step.TOLD)
