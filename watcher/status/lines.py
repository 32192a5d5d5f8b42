"""Write the overview as plain lines, for a pipe: no colours, no control characters."""

from collections.abc import Iterable, Iterator
from datetime import datetime

from watcher.orders.both_sides import said_of_sides
from watcher.orders.quantity import counted
from watcher.records.plain_text import one_line
from watcher.records.timestamps import say_moment
from watcher.status.counts import count
from watcher.status.model import FinishedOrder, HeldOrder, OrderInHand, Overview, WaitingOrder
from watcher.status.week import Entry, by_due, called, say_due, week_of
from watcher.status.words import (
    NO_QUANTITY,
    say_call,
    say_more,
    say_paper_use,
    say_pause,
    say_stage,
    say_stock,
    say_work,
)

MOST_FINISHED = 20  # finished orders that are told of; the others are counted
MOST_PRINTED = 20
_LONGEST = 2000


def lines(seen: Overview, now: datetime) -> Iterator[str]:
    """The overview, by the day on which orders are needed; the first line of each order starts with its name."""
    yield from head(seen, now)
    yield safe(" ".join(say_call(count(seen, now.date()))))
    entries, more = told(seen)
    for group, of_group in by_due(entries, now.date()):
        yield from _part(group, (line for entry in of_group for line in _entry(entry, now)))
    if more:
        yield say_more(more)
    strange = (line for order in seen.held.entries if not order.is_ours for line in _entry(order, now))
    yield from _part("Not understood in held", strange)
    paper = (f"{counted(pile.sheets, 'sheet')}: {safe(say_stock(pile))}" for pile in seen.paper)
    yield from _part("Paper to take out", paper)
    printed = seen.printed.first(MOST_PRINTED)
    yield from _part("Printed", (safe(order.name) for order in printed.entries), printed.more)
    yield from _part("Left alone in the inbox", map(safe, seen.left_alone.entries), seen.left_alone.more)


def told(seen: Overview) -> tuple[list[Entry], int]:
    """The orders that are told of, in the order in which they are needed, and how many are not."""
    most, entries = MOST_FINISHED, []
    for entry in week_of(seen):
        most -= isinstance(entry, FinishedOrder)
        if most >= 0 or not isinstance(entry, FinishedOrder):
            entries.append(entry)
    left = seen.waiting.more + seen.making.more + seen.held.more + seen.finished.more
    return entries, left + max(0, -most)


def head(seen: Overview, now: datetime) -> Iterator[str]:
    """Whether the program is running, and what is to be said beside the orders."""
    looked = seen.health.last_scan
    yield say_work(seen.health) + (f" Last look at the inbox: {say_moment(looked, now)}." if looked else "")
    if seen.health.paused:
        yield f"Paused: {safe(say_pause(seen.health.paused))}"
    yield from map(safe, seen.notes)


def safe(text: str) -> str:
    """Text from outside on one line, with nothing in it that a terminal would obey."""
    return one_line(text, most=_LONGEST)


def _part(title: str, body: Iterable[str], more: int = 0) -> Iterator[str]:
    """A part with its heading; nothing where there is nothing in it."""
    told = list(body)
    if told or more:
        yield ""
        yield f"{title}:"
        yield from (f"  {line}" for line in told)
    if more:
        yield f"  {say_more(more)}"


def _entry(entry: Entry, now: datetime) -> Iterator[str]:
    due = (say_due(entry.due, now.date()),) if entry.due else ()
    yield f"{safe(called(entry))}: {safe('; '.join((say_stage(entry, now), *due)))}"
    yield from (f"  {safe(line)}" for line in details(entry))
    if isinstance(entry, HeldOrder) and entry.is_ours:
        yield f"  What you can do: {safe(entry.place)}/why.txt"


def details(entry: Entry) -> Iterator[str]:
    """What there is to know of an order beside where it stands."""
    if isinstance(entry, WaitingOrder | OrderInHand) and entry.cards:
        yield entry.cards
    elif isinstance(entry, HeldOrder):
        yield from (said.finding.message for said in said_of_sides(entry.reasons))
        yield from () if entry.is_ours else entry.ways_out
    elif isinstance(entry, FinishedOrder):
        yield from _finished(entry)


def _finished(order: FinishedOrder) -> Iterator[str]:
    yield "; ".join(filter(None, (order.words, say_stock(order), say_paper_use(order))))
    if order.quantity_from_card:
        yield NO_QUANTITY
    if order.second_side:
        yield f"Second side: {order.second_side}"
    if order.orders:
        yield f"Orders: {', '.join(order.orders)}"
    if order.repeat_of:
        yield f"Made before as: {order.repeat_of}"
    if order.note:
        yield f"Note: {order.note}"
    yield from (f"Look before you print: {warning}" for warning in order.warnings)
    yield from (f"Newer art under this name: {newer}" for newer in order.newer)
