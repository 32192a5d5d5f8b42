"""What is said of an order that stays in the inbox: one plain line."""

from watcher.orders.model import Planned
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
    return f"waits for its {plan.missing}" if plan.missing else "complete"
