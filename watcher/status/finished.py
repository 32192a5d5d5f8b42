"""List finished orders whose sheets still lie in the outbox, and the paper that they take."""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from watcher.archive.folder_words import files_in, read_words, sheet_kind
from watcher.archive.outbox_tickets import OutboxTickets
from watcher.archive.ticket_file import NO_FLIP, TICKET_SUFFIX
from watcher.archive.ticket_reader import OrderTicket
from watcher.instructions.second_side import second_side
from watcher.orders.quantity import counted, quantity_line
from watcher.outbox.printing.standing import PrintStatus
from watcher.records.journal import Entry
from watcher.records.timestamps import parse_timestamp
from watcher.settings.sheet import SheetSettings
from watcher.status.model import FinishedOrder, Listed, PaperToPull, ProductFile, ProductKind
from watcher.status.newest import newest_folders
from watcher.status.pictures import jpeg_picture
from watcher.status.small_files import Remembered
from watcher.terms import Duplex
from watcher.units import show_size

if TYPE_CHECKING:
    from watcher.outbox.printing.order_printing import OrderPrinting

MOST = 1000  # folders looked into
_MOST_SAID = 5  # warnings, and notes of newer art, of one order
_MOST_SHARED = 100  # tickets looked into of one run
_LONGEST_MM = 10_000
_NEWER = "NEWER ART IN "

_KINDS = {kind.suffix: kind for kind in ProductKind}
_OF_MEMBERS = (ProductKind.CARD, ProductKind.LABEL)  # that a run has for each of its orders
_TO_PRINT = {ProductKind.SHEETS, ProductKind.FRONTS, ProductKind.BACKS}


def _second_side(ticket: OrderTicket) -> str:
    """How the stack goes back in for its backs; empty where nobody puts it back."""
    if ticket.duplex != Duplex.MANUAL or ticket.flip == NO_FLIP:
        return ""
    return second_side(ticket.reload, ticket.backs_order, ticket.sheets_printed)


class Uncollected:
    """Lists the finished orders in the outbox, and caches what their tickets say.

    Args:
        keeps: whether what tickets say is also kept for others who list; else nothing is changed.
    """

    def __init__(self, *, keeps: bool = False) -> None:
        self._keeps = keeps
        self._kept = OutboxTickets()
        self._tickets: Remembered[OrderTicket | None] = Remembered(self._kept.read)

    def read(
        self,
        outbox: Path,
        entries: Iterable[Entry],
        sheets: Mapping[str, SheetSettings],
        printings: Mapping[str, "OrderPrinting"] = MappingProxyType({}),
        with_address: Collection[str] = (),
        state: Path = Path(),
    ) -> Listed[FinishedOrder]:
        """List the orders that lie there, newest first.

        Args:
            outbox: the folder.
            entries: finished orders of the journal, for what a ticket does not tell.
            sheets: the sheets of the settings, for what their paper is.
            printings: what was sent to printers, by the key of the order.
            with_address: the sheets whose printer has one to send to.
            state: the folder in which what tickets say is kept.
        """
        self._tickets.begin()
        self._kept.begin(outbox, state)
        by_folder: dict[str, Entry] = {}
        for entry in entries:
            by_folder.setdefault(entry.in_outbox, entry)
        folders, more = newest_folders(outbox, MOST)
        found = [
            replace(order, is_sent_by_name=order.sheet in with_address)
            for folder in folders
            if (order := self._read_order(folder, by_folder, sheets, printings)) is not None
        ]
        if self._keeps:
            self._kept.keep()
        found.sort(key=_newest_first)
        return Listed(entries=tuple(found), more=more)

    def _read_order(
        self,
        folder: Path,
        entries: Mapping[str, Entry],
        sheets: Mapping[str, SheetSettings],
        printings: Mapping[str, "OrderPrinting"],
    ) -> FinishedOrder | None:
        """The order or gang run in a folder; None where the folder has nothing to print."""
        names = files_in(folder)
        words = read_words(folder.name, names)
        files = _product(words.order, names) if words else ()
        if words is None or not any(file.kind in _TO_PRINT for file in files):
            return None
        tickets = self._read_tickets(folder, words.order, names)
        order = _finished(folder.name, files, tickets[0], entries.get(words.order), sheets)
        return replace(
            _shared(order, tickets) if tickets[0].run else order,
            newer=_newer(names),
            printing=_printing(words.order, tickets[0], printings) if printings else None,
            order="" if words.order == folder.name else words.order,
        )

    def _read_tickets(self, folder: Path, order: str, names: set[str]) -> list[OrderTicket]:
        """The order's ticket, or those of all orders of a run; an empty one where there is none."""
        own = order + TICKET_SUFFIX
        found = [own] if own in names else sorted(name for name in names if name.endswith(TICKET_SUFFIX))[:_MOST_SHARED]
        return [ticket for name in found if (ticket := self._tickets.of(folder / name))] or [OrderTicket()]


def _printing(order: str, ticket: OrderTicket, printings: Mapping[str, "OrderPrinting"]) -> PrintStatus | None:
    """How its printing stands; None where nothing was asked of a printer."""
    from watcher.outbox.printing.order_printing import order_key  # most folders have had nothing sent to a printer
    from watcher.outbox.printing.print_status import print_status

    printing = printings.get(order_key(order, ticket.made_at))
    return None if printing is None else print_status(printing)


def _newest_first(order: FinishedOrder) -> tuple[float, str]:
    return (-order.made.timestamp() if order.made else 0.0), order.folder


def _product(folder: str, names: set[str]) -> tuple[ProductFile, ...]:
    product = {folder + suffix: kind for suffix, kind in _KINDS.items()}
    layouts = sorted((found, name) for name in names if (found := sheet_kind(folder, name)))
    of_layouts = {name: _KINDS[f"_{kind}.pdf"] for (_, kind), name in layouts}
    of_members = {name: kind for kind in _OF_MEMBERS for name in sorted(names) if name.endswith(kind.suffix)}
    known = product | of_layouts | of_members
    return tuple(ProductFile(name=name, kind=kind) for name, kind in known.items() if name in names)


def _finished(
    folder: str,
    files: tuple[ProductFile, ...],
    ticket: OrderTicket,
    entry: Entry | None,
    settings: Mapping[str, SheetSettings],
) -> FinishedOrder:
    sheets = ticket.sheets_printed or (entry.sheets if entry else 0)
    return FinishedOrder(
        folder=folder,
        words=_words(ticket) or (entry.says if entry else "") or counted(sheets, "sheet"),
        sheets=sheets,
        sheet=ticket.sheet,
        size=_size(ticket.width_mm, ticket.height_mm),
        paper=settings[ticket.sheet].paper if ticket.sheet in settings else "",
        card=ticket.card or (entry.card if entry else ""),
        due=ticket.due,
        note=ticket.note,
        made=parse_timestamp(ticket.made_at) or (parse_timestamp(entry.since) if entry else None),
        warnings=ticket.warnings,
        newer=(),
        files=files,
        up=ticket.up,
        waste_percent=ticket.waste_percent,
        repeat_of=ticket.repeat_of,
        second_side=_second_side(ticket),
        front=jpeg_picture(ticket.small_picture),
        quantity_from_card=ticket.quantity_from_card,
    )


def _shared(order: FinishedOrder, tickets: Sequence[OrderTicket]) -> FinishedOrder:
    """Describe a gang run by the tickets of its orders."""
    names = tuple(ticket.order for ticket in tickets if ticket.order)
    cards = sum(ticket.quantity for ticket in tickets)
    warnings = [f"{ticket.order}: {said}" for ticket in tickets for said in ticket.warnings]
    return replace(
        order,
        words=f"{counted(cards, 'card')} of {counted(len(names), 'order')} share {counted(order.sheets, 'sheet')}",
        card=", ".join(dict.fromkeys(ticket.card for ticket in tickets if ticket.card)),
        due=min((ticket.due for ticket in tickets if ticket.due), default=None),
        note="; ".join(f"{ticket.order}: {ticket.note}" for ticket in tickets if ticket.note),
        warnings=tuple(warnings[:_MOST_SAID]),
        up=0,
        orders=names,
    )


def _words(ticket: OrderTicket) -> str:
    quantity, designs, sheets = ticket.quantity, ticket.designs, ticket.sheets
    if not quantity or not ticket.up:
        return ""
    base = -(-designs * quantity // ticket.up)
    if sheets < base:
        return ""
    return quantity_line(quantity, base, sheets - base, designs)


def _newer(names: set[str]) -> tuple[str, ...]:
    notes = sorted(name for name in names if name.startswith(_NEWER) and name.endswith(".txt"))
    return tuple(name[len(_NEWER) : -len(".txt")] for name in notes[:_MOST_SAID])


def paper_to_pull(orders: Iterable[FinishedOrder]) -> tuple[PaperToPull, ...]:
    """The sheets that the orders take, by stock, the most first."""
    by_stock: dict[tuple[str, str, str], list[FinishedOrder]] = {}
    for order in orders:
        if order.sheets_left or not order.sheets:
            by_stock.setdefault((order.sheet, order.size, order.paper), []).append(order)
    piles = [
        PaperToPull(
            sheet=sheet,
            size=size,
            paper=paper,
            sheets=sum(one.sheets_left for one in pile),
            orders=sum(len(one.orders) or 1 for one in pile),
        )
        for (sheet, size, paper), pile in by_stock.items()
    ]
    return tuple(sorted(piles, key=lambda pile: (-pile.sheets, pile.sheet, pile.paper)))


@lru_cache(maxsize=100)
def _size(width_mm: float | None, height_mm: float | None) -> str:
    lengths = [side for side in (width_mm, height_mm) if side is not None]
    if len(lengths) != 2 or not all(math.isfinite(length) and 0 < length <= _LONGEST_MM for length in lengths):
        return ""
    return show_size(Fraction(lengths[0]), Fraction(lengths[1]))
