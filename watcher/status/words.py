"""The words for the state of a print folder that the status page and the terminal share."""

from collections.abc import Iterator
from datetime import datetime

from watcher.orders.quantity import counted
from watcher.outbox.printing.standing import PrintStanding
from watcher.records.health import Health
from watcher.records.timestamps import say_moment
from watcher.status.counts import Counts
from watcher.status.model import (
    FinishedOrder,
    HeldOrder,
    OrderInHand,
    PaperToPull,
    Progress,
    WaitingOrder,
)
from watcher.status.week import Entry
from watcher.terms import HeldFor

PROGRESS = {
    Progress.NEXT: "is made next",
    Progress.SHARING: "waits for others to share its sheets with",
    Progress.MAKING: "is being made",
    Progress.DELIVERING: "is finished and on its way to the outbox",
}
HELD = {
    HeldFor.ART: "Held, needs your answer",
    HeldFor.YES: "Waits for a yes",
    HeldFor.FAULT: "Held for a fault of the program",
}
NO_QUANTITY = "Nobody said how many cards: that number is the one in the settings."
TROUBLE = {  # what a finding is about, in a word or two; the whole sentence says the rest
    "low-resolution": "too few pixels",
    "shape-mismatch": "the wrong shape",
    "trim-mismatch": "the wrong size",
    "bleed-unclear": "bleed not clear",
    "front-missing": "the front is missing",
    "back-missing": "the back is missing",
    "art-missing": "the art is missing",
    "designs-missing": "designs are missing",
    "art-unreadable": "a file cannot be opened",
    "file-unusable": "a file cannot be used",
    "no-card-fits": "the card does not fit the sheet",
    "sheet-looks-wrong": "the sheet looks wrong",
}


def say_progress(order: OrderInHand, now: datetime) -> str:
    """How far an order is, and when one that waits for others is made at the latest."""
    if order.until is None:
        return PROGRESS[order.progress] + _takes_long(order, now)
    return f"{PROGRESS[order.progress]}; made by {say_moment(max(order.until, now), now)} at the latest"


def _takes_long(order: OrderInHand, now: datetime) -> str:
    """That an order which is being made takes more than a minute; empty for any other."""
    if order.progress is not Progress.MAKING or order.since is None:
        return ""
    minutes = int((now - order.since).total_seconds() // 60)
    return f"; it takes long, {minutes} min so far. Other orders go on beside it" if minutes >= 1 else ""


def say_work(health: Health) -> str:
    """Whether the program is running."""
    return "The program is running." if health.at_work else "The program is not running now."


def say_pause(why: str) -> str:
    """Why nothing is made, and that nobody has to start anything again."""
    return f"{why.rstrip('.')}. It goes on by itself when that is mended."


def tiles(counts: Counts) -> Iterator[tuple[str, int, str]]:
    """Give a tile for each kind of order that there is: where the page shows it, the number and its words."""
    told = (
        ("week", counts.late, "late"),
        ("held", counts.to_answer, f"{_plural(counts.to_answer, 'needs', 'need')} your answer"),
        ("held", counts.asked, f"{_plural(counts.asked, 'waits', 'wait')} for a yes"),
        ("held", counts.strange, "not understood in held"),
        ("week", counts.waiting, "in the inbox"),
        ("week", counts.sharing, f"{_plural(counts.sharing, 'waits', 'wait')} to share sheets"),
        ("week", counts.making, "being made"),
        ("week", counts.finished, "ready to print"),
        ("paper", counts.sheets, f"{_plural(counts.sheets, 'sheet', 'sheets')} to print"),
        ("printed", counts.printed, "printed"),
        ("left", counts.left_alone, "left alone"),
    )
    return ((key, number, words) for key, number, words in told if number)


def say_call(counts: Counts, *, brief: bool = False) -> Iterator[str]:
    """Whether somebody is needed, in a sentence or two; `brief`: without what goes on by itself."""
    if counts.late:
        yield f"{_orders(counts.late, 'is', 'are')} late."
    if counts.to_answer:
        yield f"{_orders(counts.to_answer, 'is held and needs', 'are held and need')} your answer."
    if counts.asked:
        yield f"{_orders(counts.asked, 'waits', 'wait')} for a yes to the picture of the card."
    if counts.strange:
        yield f"{counted(counts.strange, 'folder')} in held {_plural(counts.strange, 'is', 'are')} not understood."
    if not brief:
        yield from _by_itself(counts)
    if counts.finished:
        yield f"{_orders(counts.finished, 'is', 'are')} ready to print, on {counted(counts.sheets, 'sheet')}."
    if not counts.orders:
        yield "Nothing waits, and there is nothing to print."
    elif brief and not (counts.late or counts.to_answer or counts.asked or counts.strange or counts.finished):
        yield "Nothing needs you now."


def _by_itself(counts: Counts) -> Iterator[str]:
    if counts.waiting:
        yield f"{_orders(counts.waiting, 'waits', 'wait')} in the inbox."
    if counts.sharing:
        yield f"{_orders(counts.sharing, 'waits', 'wait')} for others to share sheets with."
    if counts.making:
        yield f"{_orders(counts.making, 'is', 'are')} being made."


def _orders(number: int, one: str, several: str) -> str:
    return f"{counted(number, 'order')} {_plural(number, one, several)}"


def _plural(number: int, one: str, several: str) -> str:
    return one if number == 1 else several


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
    word = HELD[order.needs] if order.is_ours else "Not understood"
    since = f"{word}, since {say_moment(order.since, now)}" if order.since else word
    if order.is_accepted:
        return f"{since}; you said yes, so it is made at the next look"
    if order.held_as:
        return f"{since}; {say_no_answer(order)}"
    return f"{since}; may be printed anyway" if order.may_be_accepted and order.needs is not HeldFor.YES else since


def say_no_answer(order: HeldOrder) -> str:
    """That the name which somebody gave its folder is no answer, and which one would be."""
    if order.may_be_accepted:
        return f'its name "{order.folder}" is no answer that is understood: "{order.held_as} ok" would be a yes'
    return f'its name "{order.folder}" changes nothing: what is in it must be mended first'


def say_trouble_of(order: HeldOrder) -> str:
    """What an order is held for, in a few words; empty where only the whole sentence tells."""
    return ", ".join(dict.fromkeys(TROUBLE[one.code] for one in order.reasons if one.code in TROUBLE))


def say_what_to_print(order: FinishedOrder) -> str:
    """What is left to print of a finished order, or how its printing stands."""
    if order.printing is not None:
        return order.printing.says
    return f"print {counted(order.sheets, 'sheet')}" if order.sheets else "ready to print"


def say_next_step(order: FinishedOrder) -> str:
    """What somebody does next with a finished order in the file app; empty where how it stands says it already."""
    name = order.name
    if order.printing is not None and order.printing.standing is not PrintStanding.SOME:
        return ""
    if not order.is_sent_by_name:
        return f'When all of it is printed, rename its folder to "{name} printed".'
    if order.printing is not None:
        return f'Rename its folder to "{name} print" to have the rest printed.'
    return (
        f'Rename its folder to "{name} print 1" to have one sheet printed. When that is right, "{name} print" prints'
        " the rest."
    )


def say_again(name: str) -> str:
    """The name of an empty folder in the inbox that has an order made again."""
    return f"again {name} x40 due Thursday"


def say_age(order: FinishedOrder, now: datetime) -> str:
    """How long a finished order has lain there unprinted; empty where that is not known."""
    if order.made is None:
        return ""
    days = (now.date() - order.made.astimezone(now.tzinfo).date()).days
    is_asked_for = order.printing is not None  # then the words before it tell how far it is printed
    done = "made" if is_asked_for else "finished"
    if days <= 0:
        return f"{done} today, {order.made:%H:%M}"
    ago = "yesterday" if days == 1 else f"{days} days ago"
    return f"{done} {ago}" if is_asked_for else f"{done} {ago}, not printed yet"


def say_stage(entry: Entry, now: datetime) -> str:
    """Where an order is and what it waits for, in a line."""
    if isinstance(entry, WaitingOrder):
        return "; ".join(filter(None, (entry.why, say_wait(entry, now))))
    if isinstance(entry, OrderInHand):
        return say_progress(entry, now)
    if isinstance(entry, HeldOrder):
        return say_held(entry, now)
    to_do = say_what_to_print(entry)
    return "; ".join(filter(None, (to_do.rstrip("."), say_age(entry, now))))


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
