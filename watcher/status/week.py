"""The orders of a print folder by the day they are needed: late, today, this week, later; then as they came."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from enum import StrEnum

from watcher.records.timestamps import say_day
from watcher.status.model import FinishedOrder, HeldOrder, OrderInHand, Overview, WaitingOrder

Entry = WaitingOrder | OrderInHand | HeldOrder | FinishedOrder

_SUNDAY = 7
_LONG_AGO = float("-inf")


class DueGroup(StrEnum):
    """When orders are needed, the most urgent first."""

    LATE = "Late"
    TODAY = "Today"
    THIS_WEEK = "This week"  # up to its Sunday
    LATER = "Later"
    NO_DAY = "No day was given"


def due_group(due: date | None, today: date) -> DueGroup:
    """Which group an order of that day belongs to."""
    if due is None:
        return DueGroup.NO_DAY
    if due <= today:
        return DueGroup.TODAY if due == today else DueGroup.LATE
    sunday = today + timedelta(days=_SUNDAY - today.isoweekday())
    return DueGroup.THIS_WEEK if due <= sunday else DueGroup.LATER


def say_due(due: date, today: date) -> str:
    """The day for people: `due today`, `due tomorrow, Thu 26 Nov`, `2 days late, due Mon 23 Nov`."""
    day, days = say_day(due, today), (due - today).days
    if days < 0:
        return f"{-days} {'day' if days == -1 else 'days'} late, due {day}"
    return {0: "due today", 1: f"due tomorrow, {day}"}.get(days, f"due {day}")


def came(entry: Entry) -> datetime | None:
    """When an order came to be where it is."""
    return entry.made if isinstance(entry, FinishedOrder) else entry.since


def called(entry: Entry) -> str:
    """The name of an order, or of its folder."""
    return entry.order if isinstance(entry, WaitingOrder | OrderInHand) else entry.folder


def in_order(entry: Entry) -> tuple[date, float, str]:
    """The key to sort orders by: the day, those without one last; then as they came."""
    moment = came(entry)
    return entry.due or date.max, moment.timestamp() if moment else _LONG_AGO, called(entry)


def week_of(seen: Overview) -> list[Entry]:
    """All orders that are not printed, in the order in which they are needed."""
    held = (order for order in seen.held.entries if order.is_ours)
    return sorted([*seen.waiting.entries, *seen.making.entries, *held, *seen.finished.entries], key=in_order)


def first_of(entries: list[Entry], most: int) -> list[Entry]:
    """Of more orders than are shown: those with a day, then what is not finished, then the newest; in their order."""

    def urgency(place: int) -> tuple[date, bool, float]:
        entry = entries[place]
        moment = came(entry)
        newest = -moment.timestamp() if moment else -_LONG_AGO
        return entry.due or date.max, isinstance(entry, FinishedOrder), newest

    return [entries[place] for place in sorted(sorted(range(len(entries)), key=urgency)[:most])]


def by_due(entries: list[Entry], today: date) -> Iterator[tuple[DueGroup, list[Entry]]]:
    """The groups that have an order in them, the most urgent first; within each they stay in their order."""
    for group in DueGroup:
        if of_group := [entry for entry in entries if due_group(entry.due, today) is group]:
            yield group, of_group
