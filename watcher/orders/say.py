"""What is said of an order that stays in the inbox: one plain line."""

from watcher.orders.model import Planned
from watcher.records.plain_text import one_line


def waiting_line(plan: Planned) -> str:
    """Why an order has not been taken."""
    name = one_line(plan.name)
    if plan.arriving:
        return f"{name}: still arriving"
    if plan.fault:
        return f"{name}: {one_line(plan.fault)}"
    if plan.missing == "art":
        return f"{name}: waits for the art for its job ticket"
    return f"{name}: waits for its {plan.missing}" if plan.missing else f"{name}: complete"
