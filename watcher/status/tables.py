"""Print the overview as tables, for a terminal. Names are never read as mark-up."""

from collections.abc import Callable, Iterator
from datetime import datetime
from typing import TypeVar

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from watcher.status.lines import MOST_FINISHED, head, safe
from watcher.status.model import FinishedOrder, HeldOrder, Listed, OrderInHand, Overview, PaperToPull, WaitingOrder
from watcher.status.words import say_call, say_day, say_held, say_more, say_paper_use, say_progress, say_stock, say_wait

_Entry = TypeVar("_Entry")
_Row = tuple[str, ...]


def print_tables(seen: Overview, now: datetime, console: Console) -> None:
    """Print the overview, what needs somebody first."""
    for line in head(seen, now):
        console.print(Text(line))
    console.print(Text(" ".join(say_call(seen)), style="bold"))
    for part in _parts(seen, now):
        console.print()
        console.print(part)


def _parts(seen: Overview, now: datetime) -> Iterator[Table | Text]:
    finished = seen.finished.first(MOST_FINISHED)
    yield _table("Held", seen.held, ("Order", "Why, and what you can do"), lambda order: _held(order, now))
    yield _table("Waits in the inbox", seen.waiting, ("Order", "Why"), lambda order: _waiting(order, now))
    yield _table("Being made", seen.making, ("Order", "Card", "How far"), lambda order: _in_hand(order, now))
    yield _table(
        "Paper to pull", Listed(entries=seen.paper), ("Sheets", "Paper", "Orders"), _pile, ("Sheets", "Orders")
    )
    yield _table(
        "Finished, in the outbox",
        finished,
        ("Order", "Cards and sheets", "Paper", "Due"),
        lambda order: _finished(order, now),
    )
    yield _table("Left alone", seen.left_alone, ("In the inbox",), lambda line: (safe(line),))


def _table(
    title: str,
    listed: Listed[_Entry],
    columns: tuple[str, ...],
    row: Callable[[_Entry], _Row],
    numbers: tuple[str, ...] = (),
) -> Table | Text:
    if not listed.count:
        return Text(f"{title}: nothing")
    table = Table(title=Text(title, style="bold"), title_justify="left", box=box.SIMPLE_HEAD, pad_edge=False)
    for column in columns:
        table.add_column(column, overflow="fold", justify="right" if column in numbers else "left")
    for entry in listed.entries:
        table.add_row(*map(Text, row(entry)))
    if listed.more:
        table.caption = Text(say_more(listed.more))
    return table


def _held(order: HeldOrder, now: datetime) -> _Row:
    ways = [] if order.is_accepted else [f"- {way}" for way in order.ways_out]
    reasons = [safe(reason.message) for reason in order.reasons]
    return safe(order.folder), "\n".join([*reasons, f"{say_held(order, now)}.", *map(safe, ways)])


def _waiting(order: WaitingOrder, now: datetime) -> _Row:
    return safe(order.order), "\n".join(filter(None, (safe(order.why), say_wait(order, now))))


def _in_hand(order: OrderInHand, now: datetime) -> _Row:
    return safe(order.order), safe(order.card), say_progress(order, now)


def _pile(pile: PaperToPull) -> _Row:
    return str(pile.sheets), safe(say_stock(pile)), str(pile.orders)


def _finished(order: FinishedOrder, now: datetime) -> _Row:
    beside = [f"Made before as: {order.repeat_of}"] if order.repeat_of else []
    beside += [f"Printing: {order.printing.says}"] if order.printing else []
    beside += [f"Note: {order.note}"] if order.note else []
    beside += [f"Look before you print: {warning}" for warning in order.warnings]
    beside += [f"Newer art under this name: {newer}" for newer in order.newer]
    due = say_day(order.due, now.date()) if order.due else ""
    paper = "\n".join(filter(None, (safe(say_stock(order)), say_paper_use(order))))
    return safe(order.folder), "\n".join(map(safe, (order.words, *beside))), paper, due
