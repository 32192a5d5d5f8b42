"""The words for the state of a print folder that the status page and the terminal share."""

from collections.abc import Iterator
from datetime import date, datetime

from watcher.orders.quantity import counted
from watcher.records.health import Health
from watcher.status.model import (
    FinishedOrder,
    HeldOrder,
    OrderInHand,
    Overview,
    PaperToPull,
    ProductKind,
    Progress,
    WaitingOrder,
)
from watcher.terms import HeldFor

# our own, because the names of the system depend on its language
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

PROGRESS = {
    Progress.NEXT: "taken, next in line",
    Progress.SHARING: "waits for others to share its sheets with",
    Progress.MAKING: "being made",
    Progress.DELIVERING: "finished, on its way to the outbox",
}
HELD = {
    HeldFor.ART: "Held",
    HeldFor.YES: "Waits for a yes",
    HeldFor.FAULT: "Held for a fault of the program",
}
PRODUCT = {
    ProductKind.SHEETS: "Sheets",
    ProductKind.FRONTS: "1. Fronts",
    ProductKind.BACKS: "2. Backs",
    ProductKind.INSTRUCTIONS: "Instructions",
    ProductKind.CARD: "The card",
}


def say_progress(order: OrderInHand, now: datetime) -> str:
    """How far an order is, and when one that waits for others is made at the latest."""
    if order.until is None:
        return PROGRESS[order.progress]
    return f"{PROGRESS[order.progress]}; made by {say_moment(max(order.until, now), now)} at the latest"


def say_day(day: date, now: date) -> str:
    """`Thu 24 Dec`, with the year when it is another one than now."""
    words = f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"
    return words if day.year == now.year else f"{words} {day.year}"


def say_moment(moment: datetime, now: datetime) -> str:
    """`Wed 25 Nov, 14:05`."""
    return f"{say_day(moment.date(), now.date())}, {moment:%H:%M}"


def say_work(health: Health) -> str:
    """Whether a service is at work."""
    return "A service is at work here." if health.at_work else "No service is at work here now."


def say_pause(why: str) -> str:
    """Why the service is paused, and that nobody has to start it again."""
    return f"{why.rstrip('.')}. It goes on by itself when that is mended."


def say_call(seen: Overview) -> Iterator[str]:
    """Whether somebody is needed, in a sentence or two."""
    asked = sum(order.needs is HeldFor.YES for order in seen.held.entries)
    held, waiting = seen.held.count - asked, seen.waiting.count
    sharing = sum(order.progress is Progress.SHARING for order in seen.making.entries)
    finished = sum(len(folder.orders) or 1 for folder in seen.finished.entries) + seen.finished.more
    if held:
        yield f"{counted(held, 'order')} {'is' if held == 1 else 'are'} held and {_needs(held)} your answer."
    if asked:
        yield f"{counted(asked, 'order')} {'waits' if asked == 1 else 'wait'} for a yes to the picture of the card."
    if waiting:
        yield f"{counted(waiting, 'order')} {'waits' if waiting == 1 else 'wait'} in the inbox."
    if sharing:
        yield f"{counted(sharing, 'order')} {'waits' if sharing == 1 else 'wait'} for others to share sheets with."
    if finished:
        yield f"{counted(finished, 'order')} {'is' if finished == 1 else 'are'} ready to print."
    if not (held or asked or waiting or sharing or finished):
        yield "Nothing waits, and there is nothing to print."


def _needs(number: int) -> str:
    return "needs" if number == 1 else "need"


def say_wait(order: WaitingOrder, now: datetime) -> str:
    """Since when an order waits, and until when."""
    words = [f"since {say_moment(order.since, now)}"] if order.since else []
    if order.held_after:
        words.append(f"set aside after {say_moment(order.held_after, now)} if nothing more comes")
    if order.made_after:
        words.append(f"made with the earlier art after {say_moment(order.made_after, now)} if nothing newer comes")
    return "; ".join(words)


def say_held(order: HeldOrder, now: datetime) -> str:
    """Since when, and whether it may be printed all the same."""
    word = HELD[order.needs]
    since = f"{word} since {say_moment(order.since, now)}" if order.since else word
    if order.is_accepted:
        return f"{since}; accepted, it is made at the next look"
    return f"{since}; may be printed anyway" if order.may_be_accepted and order.needs is not HeldFor.YES else since


def say_stock(stock: PaperToPull | FinishedOrder) -> str:
    """The paper for people: its text, the sheet's name, its size."""
    return ", ".join(filter(None, (stock.paper, stock.sheet, stock.size))) or "paper not known"


def say_paper_use(order: FinishedOrder) -> str:
    """`2 on a sheet, 25 % of the paper is waste`; empty where nothing is known."""
    waste = "" if order.waste_percent is None else f"{order.waste_percent:.0f} % of the paper is waste"
    return ", ".join(filter(None, (f"{order.up} on a sheet" if order.up else "", waste)))


def say_more(more: int) -> str:
    """That there is more than is shown."""
    return f"and {more} more"
