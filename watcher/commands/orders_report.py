"""List the archive for `print-folder orders`: a table on a terminal, lines in a pipe, JSON for machines."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from watcher.archive.archived import Archived
from watcher.archive.listing import ListedOrder, OrderList, PaperUse
from watcher.commands.screen import tell
from watcher.orders.cost import Cost
from watcher.orders.quantity import counted
from watcher.records.plain_text import as_utf8, one_line

_LONGEST = 2000


def show(listed: OrderList, *, as_json: bool) -> None:
    """Write the list to standard output."""
    tell(
        as_json=as_json,
        machines=lambda: to_json(listed),
        lines=lambda: lines(listed),
        tables=partial(print_table, listed),
    )


def lines(listed: OrderList) -> Iterator[str]:
    """List the orders, a line each that starts with the name, then a line for all."""
    for entry in listed.entries:
        order = entry.order
        facts = [
            _safe(order.wishes.card),
            counted(order.cards, "card"),
            f"{counted(order.sheets, 'sheet')} {order.wishes.sheet}",
        ]
        facts += filter(None, (_use(order), f"made {order.made_at[:10]}", _cost(order), _linked(entry)))
        yield f"{_safe(order.folder)}: {_safe(', '.join(facts))}"
    yield from _damaged(listed)
    yield say_use(listed.use)


def _damaged(listed: OrderList) -> Iterator[str]:
    """List the folders of the archive that cannot be read as an order."""
    for one in listed.damaged:
        yield f"{_safe(one.folder)}: cannot be read as an order: {_safe(one.why)}"


def say_use(use: PaperUse) -> str:
    """Sum up the paper used: `3 orders: 120 cards, 63 sheets, 3.8 m2 of paper, 25 % of it waste`."""
    if not use.orders:
        return "No orders."
    waste = "" if use.waste_percent is None else f", {use.waste_percent:.0f} % of it waste"
    paper = f", {use.paper_m2:.1f} m2 of paper{waste}" if use.paper_m2 else ""
    cost = "".join(f", {one.words}" for one in use.costs)
    return f"{counted(use.orders, 'order')}: {counted(use.cards, 'card')}, {counted(use.sheets, 'sheet')}{paper}{cost}"


def _safe(text: str) -> str:
    return one_line(text, most=_LONGEST)


def _use(order: Archived) -> str:
    waste = "" if order.waste_percent is None else f", {order.waste_percent:.0f} % waste"
    return f"{order.up} on a sheet{waste}"


def _cost(order: Archived) -> str:
    return f"cost {order.cost.total:.2f} {order.cost.money}".rstrip() if order.cost else ""


def _linked(entry: ListedOrder) -> str:
    if entry.order.repeat_of is not None:
        return f"repeat of {entry.order.repeat_of}"
    return f"repeated {entry.repeated} x" if entry.repeated else ""


def print_table(listed: OrderList, console: "Any") -> None:
    """Print the table on a `rich` console. Names are never read as mark-up."""
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for column in ("Order", "Card", "Cards", "Sheets", "Paper", "Made", "Repeats"):
        table.add_column(column, overflow="fold", justify="right" if column in ("Cards", "Sheets") else "left")
    for entry in listed.entries:
        order = entry.order
        paper = ", ".join(filter(None, (order.wishes.sheet, _use(order), _cost(order))))
        row = (order.folder, order.wishes.card, str(order.cards), str(order.sheets), paper, order.made_at[:10])
        table.add_row(*(Text(_safe(cell)) for cell in (*row, _linked(entry))))
    if listed.entries:
        console.print(table)
    for line in _damaged(listed):
        console.print(Text(line))
    console.print(Text(say_use(listed.use)))


def to_json(listed: OrderList) -> dict[str, Any]:
    """Give the list for `json.dumps`. Keys are stable."""
    use = listed.use
    return {
        "orders": [_entry(entry) for entry in listed.entries],
        "paper_use": {
            "orders": use.orders,
            "cards": use.cards,
            "sheets": use.sheets,
            "paper_m2": round(use.paper_m2, 4),
            "waste_percent": None if use.waste_percent is None else round(use.waste_percent, 2),
            "costs": [_amounts(cost) for cost in use.costs],
        },
        "damaged": [{"order": as_utf8(one.folder), "why": one.why} for one in listed.damaged],
    }


def _entry(entry: ListedOrder) -> dict[str, Any]:
    order = entry.order
    body = {
        "order": order.folder,
        "name": order.name,
        "card": order.wishes.card,
        "quantity": order.wishes.quantity,
        "designs": order.designs,
        "overs": str(order.wishes.spare),
        "sheet": order.wishes.sheet,
        "sheets": order.sheets,
        "up": order.up,
        "waste_percent": order.waste_percent,
        "made": order.made_at,
        "due": order.wishes.due and order.wishes.due.isoformat(),
        "note": order.wishes.note,
        "cost": order.cost and _amounts(order.cost),
        "repeat_of": order.repeat_of,
        "times_repeated": entry.repeated,
    }
    return {key: as_utf8(value) if isinstance(value, str) else value for key, value in body.items()}


def _amounts(cost: Cost) -> dict[str, str | None]:
    """Amounts as text, exact to the cent."""
    paper, printing = (None if amount is None else f"{amount:.2f}" for amount in (cost.paper, cost.printing))
    return {"paper": paper, "print": printing, "total": f"{cost.total:.2f}", "money": as_utf8(cost.money)}
