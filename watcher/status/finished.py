"""List finished orders whose sheets still lie in the outbox, and the paper that they take."""

import math
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction
from itertools import islice
from pathlib import Path
from typing import Any

from watcher.archive.order_ticket import NO_FLIP, TICKET_SUFFIX, read_ticket_file
from watcher.instructions.second_side import second_side
from watcher.orders.quantity import counted, quantity_line
from watcher.outbox.publish import sheet_kind
from watcher.records.journal import Entry
from watcher.records.moments import moment
from watcher.settings.model import SheetSettings
from watcher.status.model import FinishedOrder, Listed, PaperToPull, ProductFile, ProductKind
from watcher.status.newest import newest_folders
from watcher.status.small_files import Remembered
from watcher.terms import Duplex, Level, PageOrder
from watcher.units import show_size

MOST = 1000  # folders looked into
_MOST_FILES = 5000  # names looked at in one folder
_MOST_SAID = 5  # warnings, and notes of newer art, of one order
_MOST_SHARED = 100  # tickets looked into of one run
_LONGEST_MM = 10_000
_MOST_SHEETS = 10_000_000
_NEWER = "NEWER ART IN "

# in the order in which they are needed
_KINDS = {
    "_sheets.pdf": ProductKind.SHEETS,
    "_1-fronts.pdf": ProductKind.FRONTS,
    "_2-backs.pdf": ProductKind.BACKS,
    "_instructions.pdf": ProductKind.INSTRUCTIONS,
    "_preview.png": ProductKind.PREVIEW,
    "_card.png": ProductKind.CARD,
    TICKET_SUFFIX: ProductKind.TICKET,
}
_TO_PRINT = {ProductKind.SHEETS, ProductKind.FRONTS, ProductKind.BACKS}

Ticket = dict[str, Any]
# What is told of an order. A whole ticket takes twenty times the memory, and there may be a thousand.
_TOLD = frozenset(["order", "quantity", "designs", "card", "up", "sheets", "sheet", "waste_percent", "findings"])
_TOLD |= frozenset(["run", "run_sheets", "repeat_of", "due", "note", "made_at"])
_SECOND_SIDE = "second_side"


def _read_ticket(file: Path) -> Ticket | None:
    ticket = read_ticket_file(file)
    if ticket is None:
        return None
    return {key: ticket[key] for key in ticket.keys() & _TOLD} | {_SECOND_SIDE: _second_side(ticket)}


def _second_side(ticket: Ticket) -> str:
    """How the stack goes back in for its backs; empty where nobody puts it back."""
    if ticket.get("duplex") != Duplex.MANUAL or ticket.get("flip") == NO_FLIP:
        return ""
    settings = ticket.get("settings")
    printer = settings.get("printer") if isinstance(settings, dict) else None
    reload = _text(printer.get("reload")) if isinstance(printer, dict) else ""
    order = next((one for one in PageOrder if one == ticket.get("backs_order")), None)
    return second_side(reload, order, _number(ticket.get("run_sheets") or ticket.get("sheets")))


class Uncollected:
    """Lists the outbox again and again; each ticket is read once."""

    def __init__(self) -> None:
        self._tickets: Remembered[Ticket | None] = Remembered(_read_ticket)

    def look(
        self, outbox: Path, entries: Iterable[Entry], sheets: Mapping[str, SheetSettings]
    ) -> Listed[FinishedOrder]:
        """List the orders that lie there, newest first.

        Args:
            outbox: the folder.
            entries: finished orders of the journal, for what a ticket does not tell.
            sheets: the sheets of the settings, for what their paper is.
        """
        self._tickets.begin()
        by_folder: dict[str, Entry] = {}
        for entry in entries:
            by_folder.setdefault(entry.in_outbox, entry)
        folders, more = newest_folders(outbox, MOST)
        found = []
        for folder in folders:
            names = _names_in(folder)
            files = _product(folder.name, names)
            if any(file.kind in _TO_PRINT for file in files):
                tickets = self._read_tickets(folder, names)
                order = _finished(folder.name, files, tickets[0], by_folder.get(folder.name), sheets)
                order = _shared(order, tickets) if _text(tickets[0].get("run")) else order
                found.append(replace(order, newer=_newer(names)))
        found.sort(key=_newest_first)
        return Listed(entries=tuple(found), more=more)

    def _read_tickets(self, folder: Path, names: set[str]) -> list[Ticket]:
        """The order's ticket, or those of all orders of a run; an empty one where there is none."""
        own = folder.name + TICKET_SUFFIX
        found = [own] if own in names else sorted(name for name in names if name.endswith(TICKET_SUFFIX))[:_MOST_SHARED]
        return [ticket for name in found if (ticket := self._tickets.of(folder / name))] or [{}]


def _newest_first(order: FinishedOrder) -> tuple[float, str]:
    return (-order.made.timestamp() if order.made else 0.0), order.folder


def _names_in(folder: Path) -> set[str]:
    """The names of the ordinary files in a folder, as many as are worth looking at."""
    try:
        with os.scandir(folder) as entries:
            return {entry.name for entry in islice(entries, _MOST_FILES) if entry.is_file(follow_symlinks=False)}
    except OSError:
        return set()  # gone at this moment, or not ours to read


def _product(folder: str, names: set[str]) -> tuple[ProductFile, ...]:
    product = {folder + suffix: kind for suffix, kind in _KINDS.items()}
    layouts = sorted((found, name) for name in names if (found := sheet_kind(folder, name)) and found[0])
    of_layouts = {name: _KINDS[f"_{kind}.pdf"] for (_, kind), name in layouts}
    return tuple(ProductFile(name=name, kind=kind) for name, kind in (product | of_layouts).items() if name in names)


def _finished(
    folder: str,
    files: tuple[ProductFile, ...],
    ticket: Ticket,
    entry: Entry | None,
    settings: Mapping[str, SheetSettings],
) -> FinishedOrder:
    sheet = ticket["sheet"] if isinstance(ticket.get("sheet"), dict) else {}
    named = _text(sheet.get("name"))
    sheets = _number(ticket.get("run_sheets") or ticket.get("sheets")) or (entry.sheets if entry else 0)
    return FinishedOrder(
        folder=folder,
        words=_words(ticket) or (entry.says if entry else "") or counted(sheets, "sheet"),
        sheets=sheets,
        sheet=named,
        size=_size(sheet.get("width_mm"), sheet.get("height_mm")),
        paper=settings[named].paper if named in settings else "",
        card=_text(ticket.get("card")) or (entry.card if entry else ""),
        due=_day(ticket.get("due")),
        note=_text(ticket.get("note")),
        made=moment(ticket.get("made_at")) or (moment(entry.since) if entry else None),
        warnings=_warnings(ticket.get("findings")),
        newer=(),
        files=files,
        up=_number(ticket.get("up")),
        waste_percent=_percent(ticket.get("waste_percent")),
        repeat_of=_text(ticket.get("repeat_of")),
        second_side=_text(ticket.get(_SECOND_SIDE)),
    )


def _shared(order: FinishedOrder, tickets: Sequence[Ticket]) -> FinishedOrder:
    """Describe a gang run by the tickets of its orders."""
    names = tuple(filter(None, (_text(ticket.get("order")) for ticket in tickets)))
    notes = ((_text(ticket.get("order")), _text(ticket.get("note"))) for ticket in tickets)
    cards = sum(_number(ticket.get("quantity")) for ticket in tickets)
    warnings = [
        f"{_text(ticket.get('order'))}: {said}" for ticket in tickets for said in _warnings(ticket.get("findings"))
    ]
    return replace(
        order,
        words=f"{counted(cards, 'card')} of {counted(len(names), 'order')} share {counted(order.sheets, 'sheet')}",
        card=", ".join(dict.fromkeys(filter(None, (_text(ticket.get("card")) for ticket in tickets)))),
        due=min(filter(None, (_day(ticket.get("due")) for ticket in tickets)), default=None),
        note="; ".join(f"{name}: {note}" for name, note in notes if note),
        warnings=tuple(warnings[:_MOST_SAID]),
        up=0,
        orders=names,
    )


def _words(ticket: Ticket) -> str:
    quantity, up, sheets = (_number(ticket.get(name)) for name in ("quantity", "up", "sheets"))
    if not quantity or not up:
        return ""
    designs = _number(ticket.get("designs")) or 1
    base = -(-designs * quantity // up)
    return quantity_line(quantity, base, sheets - base, designs) if sheets >= base else ""


def _warnings(findings: object) -> tuple[str, ...]:
    """What was found that is worth a look before printing: a finding of level HOLD was accepted by the person."""
    said = [finding for finding in findings if isinstance(finding, dict)] if isinstance(findings, list) else []
    grave = [finding for finding in said if finding.get("level") in (Level.WARN, Level.HOLD)]
    return tuple(filter(None, (_text(finding.get("message")) for finding in grave[:_MOST_SAID])))


def _newer(names: set[str]) -> tuple[str, ...]:
    notes = sorted(name for name in names if name.startswith(_NEWER) and name.endswith(".txt"))
    return tuple(name[len(_NEWER) : -len(".txt")] for name in notes[:_MOST_SAID])


def paper_to_pull(orders: Iterable[FinishedOrder]) -> tuple[PaperToPull, ...]:
    """The sheets that the orders take, by stock, the most first."""
    by_stock: dict[tuple[str, str, str], list[FinishedOrder]] = {}
    for order in orders:
        by_stock.setdefault((order.sheet, order.size, order.paper), []).append(order)
    piles = [
        PaperToPull(
            sheet=sheet,
            size=size,
            paper=paper,
            sheets=sum(one.sheets for one in pile),
            orders=sum(len(one.orders) or 1 for one in pile),
        )
        for (sheet, size, paper), pile in by_stock.items()
    ]
    return tuple(sorted(piles, key=lambda pile: (-pile.sheets, pile.sheet, pile.paper)))


def _day(said: object) -> date | None:
    if isinstance(said, date):
        return said.date() if isinstance(said, datetime) else said
    try:
        return date.fromisoformat(said) if isinstance(said, str) else None
    except ValueError:
        return None


def _text(said: object) -> str:
    return said if isinstance(said, str) else ""


def _number(said: object) -> int:
    whole = isinstance(said, int) and not isinstance(said, bool) and 0 < said <= _MOST_SHEETS
    return said if whole and isinstance(said, int) else 0


def _percent(said: object) -> float | None:
    is_one = isinstance(said, int | float) and not isinstance(said, bool) and 0 <= said <= 100
    return float(said) if is_one and isinstance(said, int | float) else None


def _size(*sides: object) -> str:
    lengths = [float(side) for side in sides if isinstance(side, int | float) and not isinstance(side, bool)]
    if len(lengths) != 2 or not all(math.isfinite(length) and 0 < length <= _LONGEST_MM for length in lengths):
        return ""
    return show_size(Fraction(lengths[0]), Fraction(lengths[1]))
