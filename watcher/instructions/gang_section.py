"""The section of the instructions for sheets that orders share: whose card lies where, how to sort after cutting."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import black
from reportlab.platypus import Flowable, KeepTogether, Table

from watcher.instructions.gang_sketch import GangDrawing
from watcher.instructions.gang_words import gap_line, sorting
from watcher.instructions.style import BARE, BOLD, SANS, boxed, paragraph
from watcher.instructions.words import plain
from watcher.layout.gang.model import GangPlan
from watcher.layout.gang.places import OrderPlaces
from watcher.layout.model import Layout
from watcher.orders.quantity import counted
from watcher.orders.wishes import Wishes
from watcher.sheet.draw.gang_forms import show_places

SKETCH_HEIGHT = 420.0  # points
_CAPTION = (
    "The sheet, front side up, as it comes out of the printer. Each place with its number and its order; one shade an "
    "order; the triangle is at a card's top."
)
_SEVERAL = (
    "<b>Cut each layout as a pile of its own</b>: the same place is another order's on another layout. Once cut, cards "
    "of one order from several layouts go on one pile."
)


@dataclass(frozen=True, kw_only=True)
class GangOrder:
    """One order of a run, by its name, and what is wanted of it."""

    name: str
    wishes: Wishes


@dataclass(frozen=True, kw_only=True)
class GangFacts:
    """Whose place is which on the sheets of a gang run.

    Attributes:
        orders: in the order of the plan.
        plan: the run.
        places: whose each place is, form by form.
        spare_sheets: whole sheets on top of each form's run.
    """

    orders: tuple[GangOrder, ...]
    plan: GangPlan
    places: tuple[tuple[OrderPlaces, ...], ...]
    spare_sheets: int = 0


def gang_pages(facts: GangFacts, layout: Layout, width: float) -> Iterator[Flowable]:
    """Set the section: the orders of the run, then each kind of sheet with its drawing and how to sort."""
    if len(facts.places) > 1:
        yield boxed([paragraph(_SEVERAL, "small")], width)
    yield _orders_table(facts, width)
    if facts.plan.gap:
        yield paragraph(gap_line(facts.plan.gap), "small")
    for form, owned in enumerate(facts.places):
        yield KeepTogether(list(_form(facts, form, owned, layout, width)))


def _orders_table(facts: GangFacts, width: float) -> Flowable:
    heads = ("Order", "Cards", "Printed", "Due")
    printed = [
        sum(form.slots[order] * (form.sheets + facts.spare_sheets) for form in facts.plan.forms)
        for order in range(len(facts.orders))
    ]
    rows = [
        (f"<b>{plain(order.name)}</b>", str(order.wishes.quantity), str(cards), str(order.wishes.due or ""))
        for order, cards in zip(facts.orders, printed, strict=True)
    ]
    return _table(heads, rows, (width - 190.0, 55.0, 55.0, 80.0))


def _form(
    facts: GangFacts, form: int, owned: Sequence[OrderPlaces], layout: Layout, width: float
) -> Iterator[Flowable]:
    sheets = facts.plan.forms[form].sheets + facts.spare_sheets
    which = f"Layout {form + 1} of {len(facts.places)}, " if len(facts.places) > 1 else ""
    yield paragraph(f"{which}{counted(sheets, 'sheet')}: which place is whose", "head")
    names = [order.name for order in facts.orders]
    drawing = GangDrawing(layout, owned, names, (width, SKETCH_HEIGHT), (SANS, BOLD))
    drawing.hAlign = "CENTER"
    yield drawing
    yield paragraph(_CAPTION, "caption")
    heads = ("Order", "Places", "Cards", "After cutting")
    rows = [
        (f"<b>{plain(names[one.order])}</b>", show_places(one.places), str(len(one.places) * sheets), sorting(one))
        for one in owned
        if one.places
    ]
    yield _table(heads, rows, (0.26 * width, 0.24 * width, 45.0, 0.5 * width - 45.0))
    empty = sorted({place.number for place in layout.places} - {number for one in owned for number in one.places})
    if empty:
        yield paragraph(f"<b>Empty:</b> {_places(empty)}; throw {'it' if len(empty) == 1 else 'them'} away.", "after")


def _places(numbers: Sequence[int]) -> str:
    return f"{'place' if len(numbers) == 1 else 'places'} {show_places(numbers)}"


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float]) -> Flowable:
    cells: list[list[Any]] = [[paragraph(head, "cell head") for head in heads]]
    cells += [[paragraph(text, "large cell") for text in row] for row in rows]
    style = [
        *BARE,
        ("LINEBELOW", (0, 0), (-1, -1), 0.3, black),
        ("RIGHTPADDING", (0, 0), (-1, -1), 6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    return Table(cells, colWidths=list(widths), style=style, repeatRows=1, spaceBefore=4, spaceAfter=3)
