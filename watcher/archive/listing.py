"""List and search the orders of the archive, and sum what they took."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from watcher.archive.archived import Archived, why_unreadable
from watcher.archive.ticket_index import Progress, TicketIndex
from watcher.orders.cost import Cost, summed


@dataclass(frozen=True, kw_only=True)
class ListedOrder:
    """An archived order, and how often it was made again since."""

    order: Archived
    repeated: int


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
        """Give the same with at most so many entries, and how many more there are; the sum stays that of all."""
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
        orders = tuple(index.orders())
        unreadable = {**dict(index.unreadable()), **{name: why_unreadable(archive / name) for name in scan.without}}
    finally:
        index.close()
    wanted = [order for order in orders if _has(order, text) and (since is None or _day(order) >= since.isoformat())]
    wanted.sort(key=lambda order: (order.made_at, order.folder), reverse=True)
    repeats = _repeats(orders)
    entries = tuple(ListedOrder(order=order, repeated=repeats[order.folder, order.same_art]) for order in wanted)
    words = text.casefold().split()
    damaged = tuple(
        Damaged(folder=folder, why=why)
        for folder, why in sorted(unreadable.items())
        if why and all(word in folder.casefold() for word in words)
    )
    return OrderList(entries=entries, use=paper_use(wanted), damaged=damaged)


def paper_use(orders: Sequence[Archived]) -> PaperUse:
    """Sum what orders took. Waste is weighed by the area of the sheets; sheets that orders shared count once."""
    piles = list(_piles(orders))
    known = [order for order in piles if order.waste_percent is not None and order.paper_m2 > 0]
    area = sum(order.paper_m2 for order in known)
    waste = sum(order.paper_m2 * (order.waste_percent or 0.0) for order in known)
    return PaperUse(
        orders=len(orders),
        cards=sum(order.cards for order in orders),
        sheets=sum(order.sheets for order in piles),
        paper_m2=sum(order.paper_m2 for order in piles),
        waste_percent=waste / area if area else None,
        costs=summed(order.cost for order in orders if order.cost is not None),
    )


def _piles(orders: Iterable[Archived]) -> Iterator[Archived]:
    """Give each stack of sheets once: of the orders of a gang run the first, with the sheets of all."""
    runs = set()
    for order in orders:
        if order.run is None:
            yield order
        elif order.run not in runs:
            runs.add(order.run)
            yield replace(order, sheets=order.run_sheets)


def _repeats(orders: Iterable[Archived]) -> Counter[object]:
    """Count how often each order was repeated. A later order under the name of a removed one counts for itself."""
    return Counter((order.repeat_of, order.same_art) for order in orders if order.repeat_of is not None)


def _day(order: Archived) -> str:
    return order.made_at[:10]


def _has(order: Archived, text: str) -> bool:
    wishes = order.wishes
    said = "\n".join((order.folder, order.name, wishes.card, wishes.sheet, wishes.note or "")).casefold()
    return all(word in said for word in text.casefold().split())
