"""Gang runs in words: what sharing saves, how to sort after cutting, how good the plan is. Mark-up is `<b>` alone."""

from watcher.layout.gang.model import GangChoice
from watcher.layout.gang.places import OrderPlaces
from watcher.orders.quantity import counted


def gap_line(gap: int) -> str:
    """Say how good the number of sheets is; empty where none better exists."""
    if not gap:
        return ""
    return f"There may be a way to share these sheets that takes fewer, by at most {counted(gap, 'sheet')}."


def saving_line(choice: GangChoice) -> str:
    """What ganging saves: `3 of 4 orders share sheets: 60 sheets instead of 71, 11 sheets (15.5 %) saved`."""
    if choice.plan is None:
        return "Sharing sheets saves nothing here; each order is made by itself."
    orders, ganged = len(choice.single_sheets), len(choice.ganged)
    who = f"All {orders} orders" if ganged == orders else f"{ganged} of {orders} orders"
    line = (
        f"{who} share sheets: {counted(choice.sheets, 'sheet')} instead of {sum(choice.single_sheets)}, "
        f"{counted(choice.saved, 'sheet')} ({choice.saved_percent:.1f} %) saved"
    )
    if choice.is_proven:
        return f"{line}."
    gap = counted(choice.sheets - choice.lower_bound, "sheet")
    return f"{line}. There may be a way with fewer, by at most {gap}."


def sorting(owned: OrderPlaces) -> str:
    """Say how the cards of an order are kept together at the cutter."""
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
