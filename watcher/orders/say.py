"""What is said of an order that stays in the inbox: one plain line."""

from watcher.orders.model import DESIGNS, Planned
from watcher.records.plain_text import one_line


def waiting_line(plan: Planned) -> str:
    """The order, and why it has not been taken."""
    return f"{one_line(plan.name)}: {why_it_waits(plan)}"


def why_it_waits(plan: Planned) -> str:
    """Why an order has not been taken."""
    if plan.arriving:
        return "still arriving"
    if plan.fault:
        return one_line(plan.fault)
    if plan.missing == "art":
        return "waits for the art for its job ticket"
    if plan.missing == DESIGNS:
        return f"waits for its other designs: {plan.lacks}"
    if plan.missing:
        return f"waits for its {plan.missing}"
    if plan.open_ended:
        there = len({piece.design for piece in plan.pieces})
        return f"{there} designs so far; its job ticket does not say how many, so it waits for more for a while"
    return "complete"
