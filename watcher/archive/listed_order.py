"""What a list tells of an archived order, and how the index keeps it: small, for an archive has tens of thousands."""

import hashlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from watcher.orders.cost import Cost

if TYPE_CHECKING:
    from watcher.archive.archived import Archived

_MM2_IN_M2 = 1_000_000
_NOT_KEPT = {"repeated", "cost"}


@dataclass(frozen=True, kw_only=True)
class ListedOrder:
    """An archived order in a list.

    Attributes:
        folder, name, sheets, up, designs, made_at, repeat_of, area_mm2, waste_percent, cost, run, run_sheets: as in
            `Archived`.
        card, sheet, quantity, note: as in its wishes.
        overs, due: these too, as text.
        same_art: equal for two orders of the same card and art.
        repeated: how often it was made again since.
    """

    folder: str
    name: str
    card: str
    sheet: str
    quantity: int
    overs: str
    due: str | None
    note: str | None
    sheets: int
    up: int
    designs: int
    made_at: str
    repeat_of: str | None
    area_mm2: float
    waste_percent: float | None
    run: str | None
    run_sheets: int
    same_art: str
    cost: Cost | None = None
    repeated: int = 0

    @property
    def cards(self) -> int:
        """How many finished cards it is: `quantity` counts each design."""
        return self.designs * self.quantity

    def paper_m2(self, sheets: int) -> float:
        """The paper of so many of its sheets, square metres."""
        return sheets * self.area_mm2 / _MM2_IN_M2


def listed(order: "Archived") -> ListedOrder:
    """Give what a list tells of an order."""
    wishes = order.wishes
    card, art = order.same_art
    return ListedOrder(
        folder=order.folder,
        name=order.name,
        card=wishes.card,
        sheet=wishes.sheet,
        quantity=wishes.quantity,
        overs=str(wishes.spare),
        due=wishes.due.isoformat() if wishes.due else None,
        note=wishes.note,
        sheets=order.sheets,
        up=order.up,
        designs=order.designs,
        made_at=order.made_at,
        repeat_of=order.repeat_of,
        area_mm2=order.area_mm2,
        waste_percent=order.waste_percent,
        run=order.run,
        run_sheets=order.run_sheets,
        same_art=hashlib.sha256(repr((card, sorted(art, key=repr))).encode("utf-8", "backslashreplace")).hexdigest(),
        cost=order.cost,
    )


def to_kept(order: ListedOrder) -> dict[str, Any]:
    """Give the values that the index keeps, for JSON: all but the folder, and the repeats, which change."""
    kept = {key: value for key, value in vars(order).items() if key not in _NOT_KEPT and key != "folder"}
    if order.cost is None:
        return kept
    return kept | {"cost": {key: value if value is None else str(value) for key, value in asdict(order.cost).items()}}


def from_kept(folder: str, kept: Mapping[str, Any], repeated: int) -> ListedOrder:
    """Make an order of the list from what `to_kept` gave."""
    if (cost := kept.get("cost")) is None:
        return ListedOrder(folder=folder, repeated=repeated, **kept)
    paper, printing = (None if cost[key] is None else Decimal(cost[key]) for key in ("paper", "printing"))
    whole = Cost(paper=paper, printing=printing, money=cost["money"])
    return ListedOrder(folder=folder, repeated=repeated, **{**kept, "cost": whole})
