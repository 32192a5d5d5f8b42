"""List the archive for `print-folder orders`: a list on a terminal, lines in a pipe, JSON for machines."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from watcher.archive.listed_order import ListedOrder
from watcher.archive.listing import OrderList, PaperUse
from watcher.commands.screen import tell
from watcher.orders.cost import Cost
from watcher.orders.quantity import counted
from watcher.records.plain_text import as_utf8, one_line
from watcher.records.timestamps import say_stamp_day

_LONGEST = 2000
_INDENT = "  "
_LEAST_FACTS = 4  # what is dropped first where a line is short: what it is a repeat of


def show(listed: OrderList, *, as_json: bool) -> None:
    """Write the list to standard output."""
    tell(
        as_json=as_json,
        machines=lambda: to_json(listed),
        lines=lambda: lines(listed),
        tables=partial(print_list, listed),
    )


def lines(listed: OrderList) -> Iterator[str]:
    """List the orders, a line each that starts with the name, then a line for all."""
    for order in listed.entries:
        facts = [
            _safe(order.card),
            counted(order.cards, "card"),
            f"{counted(order.sheets, 'sheet')} {order.sheet}",
        ]
        facts += filter(None, (_use(order), f"made {say_stamp_day(order.made_at)}", _cost(order), _linked(order)))
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


def _use(order: ListedOrder) -> str:
    waste = "" if order.waste_percent is None else f", {order.waste_percent:.0f} % waste"
    return f"{order.up} on a sheet{waste}"


def _cost(order: ListedOrder) -> str:
    return f"cost {order.cost.total:.2f} {order.cost.money}".rstrip() if order.cost else ""


def _linked(order: ListedOrder) -> str:
    if order.repeat_of is not None:
        return f"repeat of {order.repeat_of}"
    return f"repeated {order.repeated} x" if order.repeated else ""


def print_list(listed: OrderList, console: "Any") -> None:
    """Print the orders on a `rich` console, one or two lines each; no name is broken or read as mark-up."""
    from rich.text import Text

    for order in listed.entries:
        for number, line in enumerate(two_lines(order, console.width)):
            console.print(Text(line, style="" if number else "bold"), soft_wrap=True)
    for line in (*_damaged(listed), say_use(listed.use)):
        console.print(Text(line), soft_wrap=True)


def two_lines(order: ListedOrder, width: int) -> list[str]:
    """Tell of an order in a line, or in two where one of so many signs does not hold it; the name stands alone then."""
    name, made, linked = _safe(order.folder), say_stamp_day(order.made_at), _safe(_linked(order))
    facts = [
        _safe(order.card),
        counted(order.cards, "card"),
        _safe(f"{counted(order.sheets, 'sheet')} {order.sheet}"),
        made,
        *filter(None, (_safe(_cost(order)), linked)),
    ]
    one = f"{name}: {', '.join(facts)}"
    if len(one) <= width:
        return [one]
    while len(facts) > _LEAST_FACTS and len(_INDENT + ", ".join(facts)) > width:
        facts.pop()
    return [name, _INDENT + ", ".join(facts)]


def to_json(listed: OrderList) -> dict[str, Any]:
    """Give the list for `json.dumps`. Keys are stable."""
    use = listed.use
    return {
        "orders": [_entry(order) for order in listed.entries],
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


def _entry(order: ListedOrder) -> dict[str, Any]:
    body = {
        "order": order.folder,
        "name": order.name,
        "card": order.card,
        "quantity": order.quantity,
        "designs": order.designs,
        "overs": order.overs,
        "sheet": order.sheet,
        "sheets": order.sheets,
        "up": order.up,
        "waste_percent": order.waste_percent,
        "made": order.made_at,
        "due": order.due,
        "note": order.note,
        "cost": order.cost and _amounts(order.cost),
        "repeat_of": order.repeat_of,
        "times_repeated": order.repeated,
    }
    return {key: as_utf8(value) if isinstance(value, str) else value for key, value in body.items()}


def _amounts(cost: Cost) -> dict[str, str | None]:
    """Amounts as text, exact to the cent."""
    paper, printing = (None if amount is None else f"{amount:.2f}" for amount in (cost.paper, cost.printing))
    return {"paper": paper, "print": printing, "total": f"{cost.total:.2f}", "money": as_utf8(cost.money)}
