"""Print the overview as tables, for a terminal. Names are never read as mark-up."""

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from typing import TypeVar

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from watcher.status.counts import count
from watcher.status.lines import MOST_PRINTED, details, head, safe, told
from watcher.status.model import HeldOrder, Overview, PaperToPull
from watcher.status.week import Entry, by_due, called, say_due
from watcher.status.words import say_call, say_more, say_stage, say_stock

_Entry = TypeVar("_Entry")
_Row = tuple[str, ...]


def print_tables(seen: Overview, now: datetime, console: Console) -> None:
    """Print the overview, the orders by the day on which they are needed."""
    for line in head(seen, now):
        console.print(Text(line))
    console.print(Text(" ".join(say_call(count(seen, now.date()))), style="bold"))
    for part in _parts(seen, now):
        console.print()
        console.print(part)


def _parts(seen: Overview, now: datetime) -> Iterator[Table | Text]:
    entries, more = told(seen)
    for group, of_group in by_due(entries, now.date()):
        yield _table(group, of_group, ("Order", "Where it is, and what you can do"), lambda entry: _order(entry, now))
    if more:
        yield Text(say_more(more))
    strange = [order for order in seen.held.entries if not order.is_ours]
    if strange:
        yield _table("Not understood in held", strange, ("Folder", "Why"), lambda order: _order(order, now))
    if seen.paper:
        yield _table("Paper to take out", seen.paper, ("Sheets", "Paper", "Orders"), _pile, ("Sheets", "Orders"))
    if seen.printed.count:
        printed = seen.printed.first(MOST_PRINTED)
        yield _table("Printed", printed.entries, ("Order",), lambda order: (safe(order.name),))
    if seen.left_alone.count:
        yield _table("Left alone", seen.left_alone.entries, ("In the inbox",), lambda line: (safe(line),))


def _table(
    title: str,
    entries: Sequence[_Entry],
    columns: tuple[str, ...],
    row: Callable[[_Entry], _Row],
    numbers: tuple[str, ...] = (),
) -> Table:
    table = Table(title=Text(title, style="bold"), title_justify="left", box=box.SIMPLE_HEAD, pad_edge=False)
    for column in columns:
        table.add_column(column, overflow="fold", justify="right" if column in numbers else "left")
    for entry in entries:
        table.add_row(*map(Text, row(entry)))
    return table


def _order(entry: Entry, now: datetime) -> _Row:
    due = [say_due(entry.due, now.date())] if entry.due else []
    answers = entry.ways_out if isinstance(entry, HeldOrder) and entry.is_ours and not entry.is_accepted else ()
    said = [*due, say_stage(entry, now), *details(entry), *(f"- {way}" for way in answers)]
    return safe(called(entry)), "\n".join(map(safe, said))


def _pile(pile: PaperToPull) -> _Row:
    return str(pile.sheets), safe(say_stock(pile)), str(pile.orders)
