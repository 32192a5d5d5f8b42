"""The quantity and the day that the names of an order's files and its job ticket ask for; two that differ hold it."""

from collections.abc import Sequence
from datetime import date

from watcher.errors import NameUnclear
from watcher.inbox.found import Found
from watcher.orders.model import Ticket
from watcher.records.timestamps import local_now, moment_of_ns, parse_timestamp


def asked_quantity(art: Sequence[Found], ticket: Ticket, tickets: Sequence[Found]) -> int | None:
    """The quantity that file names and job ticket ask for, or None."""
    asked = {found.parts.quantity: found.shown for found in [*art, *tickets] if found.parts.quantity is not None}
    if ticket.wishes.quantity:
        asked.setdefault(ticket.wishes.quantity, tickets[0].shown if tickets else "its ticket in the archive")
    if len(asked) > 1:
        said = ", ".join(f"{name} says {quantity}" for quantity, name in asked.items())
        raise NameUnclear(f"The quantities differ: {said}. Make them the same, or leave one out.")
    return next(iter(asked), None)


def asked_day(art: Sequence[Found], ticket: Ticket, tickets: Sequence[Found]) -> date | None:
    """The day that names and job ticket say, or None."""
    said = {_day_of(found): found.shown for found in [*art, *tickets] if found.parts.due is not None}
    if ticket.wishes.due is not None:
        said.setdefault(ticket.wishes.due, tickets[0].shown if tickets else "its ticket in the archive")
    if len(said) > 1:
        days = ", ".join(f"{name} says {day.isoformat()}" for day, name in said.items())
        raise NameUnclear(f"The days on which the cards are due differ: {days}. Make them the same, or leave one out.")
    return next(iter(said), None)


def _day_of(found: Found) -> date:
    """The day that a name says; without a year the next one after the file came, or was held before."""
    assert found.parts.due is not None
    since = parse_timestamp(found.earlier.since) if found.earlier else None
    arrived_ns = max(found.file.identity.ctime_ns, found.container.arrived_ns if found.container else 0)
    came = since or moment_of_ns(arrived_ns)
    return found.parts.due.on_or_after(came.date() if came else local_now().date())
