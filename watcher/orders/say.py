"""Say in a line why an order stays in the inbox, and which of its art came earlier."""

from collections.abc import Iterator
from dataclasses import dataclass

from watcher.inbox.found import Earlier
from watcher.orders.model import DESIGNS, Order, Planned, design_numbers, show_numbers
from watcher.records.plain_text import one_line
from watcher.records.timestamps import say_stamp
from watcher.terms import Side


def inbox_of(folder: str | None) -> str:
    """The folder that art of a card's folder goes into, for people: `the inbox`, `inbox/postcard`."""
    return f"inbox/{one_line(folder)}" if folder else "the inbox"


def waiting_line(plan: Planned) -> str:
    """Write a line with the order's name and why it has not been taken."""
    return f"{one_line(plan.name)}: {why_it_waits(plan)}"


def why_it_waits(plan: Planned) -> str:
    """Say why an order has not been taken."""
    if plan.arriving:
        return "still arriving"
    if plan.waits_for:
        return f"waits for {plan.waits_for}{_what_else(plan)}"
    if plan.fault:
        return one_line(plan.fault)
    if plan.missing == "art":
        return "waits for the art for its job ticket"
    if plan.missing == DESIGNS:
        return f"waits for its other designs: {plan.lacks}"
    if plan.missing:
        return f"waits for its {plan.missing}"
    if plan.open_ended:
        there = len(design_numbers(plan.pieces))
        return f"{there} designs so far; nothing says how many there are, so it waits for more for a while"
    return "complete"


def _what_else(plan: Planned) -> str:
    """What is done when no newer art comes."""
    places = sorted({piece.found.earlier.place for piece in plan.earlier_pieces if piece.found.earlier})
    if not places or plan.fault:
        return ""
    place = one_line(places[0])
    if not place.startswith("held/"):
        return f"; after a while that in {place} is used"
    return f"; after a while that in {place} is used; to use it at once, move {place} back into the inbox"


@dataclass(frozen=True, kw_only=True)
class EarlierArt:
    """One side of an order, of some designs, that came with an earlier try while newer art came for the rest.

    Attributes:
        side: which side.
        shown: the same for people: `back`, `back of 2 and 3`.
        earlier: where it lay.
    """

    side: Side
    shown: str
    earlier: Earlier

    @property
    def where(self) -> str:
        """Where it lay and since when, for people."""
        return f"{one_line(self.earlier.place)} since {say_stamp(self.earlier.since)}"


def earlier_art(order: Order) -> Iterator[EarlierArt]:
    """The art that is printed though it came with an earlier try."""
    groups: dict[tuple[Side, Earlier], list[int]] = {}
    for source in order.wanted_art:
        if source.earlier is not None:
            groups.setdefault((source.side, source.earlier), []).append(source.design)
    for (side, earlier), designs in groups.items():
        several = order.has_several_designs and any(designs)
        shown = f"{side} of {show_numbers(sorted(designs))}" if several else str(side)
        yield EarlierArt(side=side, shown=shown, earlier=earlier)


def earlier_words(order: Order) -> str:
    """Say which art came earlier, for the end of a line in the log; empty where none did."""
    return "".join(f"; its {art.shown} did not come anew, it lay in {art.where}" for art in earlier_art(order))
