"""List and search the orders of the archive, and sum what they took."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from watcher.archive.listed_order import ListedOrder, from_kept
from watcher.archive.ticket_index import Progress, TicketIndex
from watcher.orders.cost import Cost, summed


@dataclass(frozen=True, kw_only=True)
class Damaged:
    """A folder of the archive that cannot be read as an order, and why."""

    folder: str
    why: str


@dataclass(frozen=True, kw_only=True)
class PaperUse:
    """The paper that several orders took.

    Attributes:
        orders, cards, sheets: how many.
        paper_m2: the area of the sheets, as far as it is known.
        waste_percent: of the area of those sheets whose waste is known; None when that of none is.
        costs: what those cost whose prices were known, each money by itself.
    """

    orders: int
    cards: int
    sheets: int
    paper_m2: float
    waste_percent: float | None
    costs: tuple[Cost, ...] = ()


@dataclass(frozen=True, kw_only=True)
class OrderList:
    """The orders that were searched for, newest first, what they took together, and folders that cannot be read."""

    entries: tuple[ListedOrder, ...]
    use: PaperUse
    damaged: tuple[Damaged, ...] = ()

    def newest(self, most: int) -> tuple["OrderList", int]:
        """Give the list with its newest entries alone, and how many were left out; the sums stay those of all."""
        return replace(self, entries=self.entries[:most]), max(0, len(self.entries) - most)


def list_orders(
    archive: Path,
    text: str = "",
    since: date | None = None,
    state: Path | None = None,
    progress: Progress | None = None,
) -> OrderList:
    """List the archived orders that match, newest first.

    Args:
        archive: the folder.
        text: words that all must stand in name, card, sheet or note, in any case; empty for every order.
        since: the first day that counts, by the date on which the sheets were made.
        state: where what the tickets say is remembered from list to list; None: nowhere, and all are opened.
        progress: is told how far the reading of tickets is that are not known.
    """
    index = TicketIndex(state)
    try:
        scan = index.catch_up(archive, progress)
        known = dict(index.listed())
        unreadable = dict(index.unreadable()) | _without_ticket(archive, scan.without)
    finally:
        index.close()
    words = text.casefold().split()
    first_day = since.isoformat() if since else ""
    wanted = [name for name, kept in known.items() if kept["made_at"][:10] >= first_day and _has(name, kept, words)]
    wanted.sort(key=lambda name: (known[name]["made_at"], name), reverse=True)
    repeats = _repeats(known.values())
    entries = tuple(from_kept(name, kept := known[name], repeats[name, kept["same_art"]]) for name in wanted)
    damaged = tuple(
        Damaged(folder=folder, why=why)
        for folder, why in sorted(unreadable.items())
        if why and all(word in folder.casefold() for word in words)
    )
    return OrderList(entries=entries, use=paper_use(entries), damaged=damaged)


def _without_ticket(archive: Path, folders: Sequence[str]) -> dict[str, str]:
    if not folders:
        return {}
    from watcher.archive.archived import why_unreadable  # costs time that a list of what is known need not wait for

    return {name: why_unreadable(archive / name) for name in folders}


def paper_use(orders: Sequence[ListedOrder]) -> PaperUse:
    """Sum what orders took. Waste is weighed by the area of the sheets; sheets that orders shared count once."""
    piles = list(_piles(orders))
    areas = [(order.paper_m2(sheets), order.waste_percent) for order, sheets in piles]
    known = [(area, waste) for area, waste in areas if waste is not None and area > 0]
    area = sum(area for area, _ in known)
    return PaperUse(
        orders=len(orders),
        cards=sum(order.cards for order in orders),
        sheets=sum(sheets for _, sheets in piles),
        paper_m2=sum(area for area, _ in areas),
        waste_percent=sum(area * waste for area, waste in known) / area if area else None,
        costs=summed(order.cost for order in orders if order.cost is not None),
    )


def _piles(orders: Iterable[ListedOrder]) -> Iterator[tuple[ListedOrder, int]]:
    """Give each stack of sheets once: of the orders of a gang run the first, with the sheets of all."""
    runs = set()
    for order in orders:
        if order.run is None:
            yield order, order.sheets
        elif order.run not in runs:
            runs.add(order.run)
            yield order, order.run_sheets


def _repeats(orders: Iterable[Mapping[str, Any]]) -> Counter[tuple[str, str]]:
    """Count how often each order was repeated. A later order under the name of a removed one counts for itself."""
    return Counter((one["repeat_of"], one["same_art"]) for one in orders if one["repeat_of"] is not None)


def _has(folder: str, kept: Mapping[str, Any], words: Sequence[str]) -> bool:
    if not words:
        return True
    said = "\n".join((folder, kept["name"], kept["card"], kept["sheet"], kept["note"] or "")).casefold()
    return all(word in said for word in words)
