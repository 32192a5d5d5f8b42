"""Gang runs in words: how the cards are sorted after cutting, and how good the plan is. Mark-up is `<b>` alone."""

from watcher.layout.gang_places import OrderPlaces
from watcher.orders.quantity import counted


def gap_line(gap: int) -> str:
    """What is known about the number of sheets; nothing where it is proven."""
    if not gap:
        return ""
    return f"There may be a way to share these sheets that takes fewer, by at most {counted(gap, 'sheet')}."


def sorting(owned: OrderPlaces) -> str:
    """How the cards of an order are kept together at the cutter, in words."""
    if owned.apart_after == 0:
        return "the whole sheet is this order's"
    after = f"after cut {owned.apart_after}"
    if len(owned.places) == 1:
        return f"apart from the others {after}"
    if owned.pieces == 1:
        return f"<b>in one piece</b> {after}: one pile from there on"
    if owned.pieces < len(owned.places):
        return f"in {owned.pieces} pieces {after}: keep them together"
    return f"card by card {after}: lay all {len(owned.places)} on one pile"
