"""Write the overview as plain lines, for a pipe: no colours, no control characters."""

from collections.abc import Iterable, Iterator
from datetime import datetime

from watcher.orders.quantity import counted
from watcher.records.plain_text import one_line
from watcher.status.model import FinishedOrder, HeldOrder, Overview, WaitingOrder
from watcher.status.words import (
    say_day,
    say_held,
    say_moment,
    say_more,
    say_paper_use,
    say_pause,
    say_progress,
    say_stock,
    say_wait,
    say_work,
)

MOST_FINISHED = 20  # the newest; the others are counted
_LONGEST = 2000


def lines(seen: Overview, now: datetime) -> Iterator[str]:
    """The overview; the first line of each order starts with its name."""
    yield from head(seen, now)
    for title, body, more in _parts(seen, now):
        told = list(body)
        yield ""
        yield f"{title}:" if told else f"{title}: nothing"
        yield from (f"  {line}" for line in told)
        if more:
            yield f"  {say_more(more)}"


def head(seen: Overview, now: datetime) -> Iterator[str]:
    """How the service is, and what is to be said beside the orders."""
    looked = seen.health.last_scan
    yield say_work(seen.health) + (f" Last look at the inbox: {say_moment(looked, now)}." if looked else "")
    if seen.health.paused:
        yield f"Paused: {safe(say_pause(seen.health.paused))}"
    yield from map(safe, seen.notes)


def safe(text: str) -> str:
    """Text from outside on one line, with nothing in it that a terminal would obey."""
    return one_line(text, most=_LONGEST)


def _parts(seen: Overview, now: datetime) -> Iterator[tuple[str, Iterable[str], int]]:
    finished = seen.finished.first(MOST_FINISHED)
    yield "Waits in the inbox", (_waiting(order, now) for order in seen.waiting.entries), seen.waiting.more
    in_hand = (f"{safe(order.order)}: {say_progress(order, now)}" for order in seen.making.entries)
    yield "Being made", in_hand, seen.making.more
    yield "Held", (line for order in seen.held.entries for line in _held(order, now)), seen.held.more
    yield "Left alone", map(safe, seen.left_alone.entries), seen.left_alone.more
    yield "Paper to pull", (f"{counted(pile.sheets, 'sheet')}: {safe(say_stock(pile))}" for pile in seen.paper), 0
    told = (line for order in finished.entries for line in _finished(order, now))
    yield "Finished, in the outbox", told, finished.more


def _waiting(order: WaitingOrder, now: datetime) -> str:
    when = say_wait(order, now)
    return f"{safe(order.order)}: {safe(order.why)}" + (f" ({when})" if when else "")


def _held(order: HeldOrder, now: datetime) -> Iterator[str]:
    yield f"{safe(order.folder)}: {safe(order.reasons[0].message)}"
    yield from (f"  {safe(reason.message)}" for reason in order.reasons[1:])
    yield f"  {say_held(order, now)}. What you can do: {safe(order.place)}/why.txt"


def _finished(order: FinishedOrder, now: datetime) -> Iterator[str]:
    due = f"; due {say_day(order.due, now.date())}" if order.due else ""
    yield f"{safe(order.folder)}: {safe(order.words)}{due}"
    yield f"  {safe('; '.join(filter(None, (say_stock(order), say_paper_use(order)))))}"
    if order.printing is not None:
        yield f"  Printing: {safe(order.printing.says)}"
    if order.second_side:
        yield f"  Second side: {safe(order.second_side)}"
    if order.orders:
        yield f"  Orders: {', '.join(map(safe, order.orders))}"
    if order.repeat_of:
        yield f"  Made before as: {safe(order.repeat_of)}"
    if order.note:
        yield f"  Note: {safe(order.note)}"
    yield from (f"  Look before you print: {safe(warning)}" for warning in order.warnings)
    yield from (f"  Newer art under this name: {safe(newer)}" for newer in order.newer)
