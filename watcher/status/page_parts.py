"""The parts of the status page: each takes its entries and gives a section of HTML."""

from collections.abc import Iterable, Iterator
from datetime import datetime

from watcher.orders.both_sides import said_of_sides
from watcher.orders.quantity import counted
from watcher.status.html import bullets, embedded, href, lying_beside, named, text, time_tag
from watcher.status.model import FinishedOrder, HeldOrder, Listed, Overview, PaperToPull
from watcher.status.page_rows import MOST_PICTURED, held_id, row, stock, thumb
from watcher.status.week import by_due, first_of, in_order, week_of
from watcher.status.words import HELD, say_again, say_more, say_no_answer
from watcher.terms import HeldFor

MOST_SHOWN = 100  # entries of a part; a page of thousands helps nobody
MOST_PRINTED = 20
_MOST_FILES = 6


def section(key: str, title: str, body: Iterable[str]) -> str:
    """A part with its heading; nothing where there is nothing in it."""
    parts = "\n".join(body)
    if not parts:
        return ""
    return f'<section id="{key}" aria-labelledby="{key}-title"><h2 id="{key}-title">{title}</h2>\n{parts}\n</section>'


def _rest(more: int, where: str = "") -> Iterator[str]:
    if more:
        yield f'<p class="quiet">{say_more(more)}{where}</p>'


def week_part(seen: Overview, now: datetime) -> Iterator[str]:
    """Every order that is not printed, by the day on which it is needed."""
    entries = week_of(seen)
    shown, left = first_of(entries, MOST_SHOWN), len(entries[MOST_SHOWN:])
    left += seen.waiting.more + seen.making.more + seen.held.more + seen.finished.more
    place = 0
    for group, of_group in by_due(shown, now.date()):
        yield f"<h3>{group}</h3>"
        for entry in of_group:
            place += 1
            yield row(entry, now, pictured=place <= MOST_PICTURED)
    yield from _rest(left, ", older: each in its folder in the outbox")


def held_title(held: Listed[HeldOrder]) -> str:
    """The heading of the held orders: what the person is asked for."""
    ours = [order for order in held.entries if order.is_ours]
    if not ours and not held.more:
        return "Not understood in held"
    return "Waits for a yes" if all(order.needs is HeldFor.YES for order in ours) else "Needs your answer"


def held_part(held: Listed[HeldOrder], now: datetime) -> Iterator[str]:
    """Held orders: the art, why, and how to answer; then what lies there beside them."""
    ours = Listed(entries=tuple(sorted((order for order in held.entries if order.is_ours), key=in_order)))
    shown = ours.first(MOST_SHOWN)
    for order in shown.entries:
        yield _held(order, now)
    strange = [order for order in held.entries if not order.is_ours]
    for order in strange[:MOST_SHOWN]:
        yield _strange(order)
    yield from _rest(shown.more + held.more + len(strange[MOST_SHOWN:]))


def _held(order: HeldOrder, now: datetime) -> str:
    since = f", since {time_tag(order.since, now)}" if order.since else ""
    css = "waits" if order.needs is HeldFor.YES else "held"
    there = (*order.pictures, *order.files)
    files = ", ".join(map(named, there[:_MOST_FILES]))
    more = f" {say_more(len(there) - _MOST_FILES)}" if len(there) > _MOST_FILES else ""
    return "\n".join(
        [
            f'<article class="{css}" id="{held_id(order.folder)}"><h3>{named(order.folder)}</h3>',
            f'<p class="state">{HELD[order.needs]}{since}</p>',
            *_spots(order),
            *_reasons(order),
            *_answers(order),
            f'<p class="quiet">In it: {files}{more}</p>' if files else "",
            "</article>",
        ]
    )


def _spots(order: HeldOrder) -> Iterator[str]:
    if order.spots:
        yield f'<p class="spots">{embedded(order.spots, f"The art of {order.folder}, with the spots marked")}</p>'
    elif order.art:
        yield f'<p class="spots">{lying_beside(order.art, f"The art of {order.folder}")}</p>'
    elif order.front:
        yield f'<p class="spots">{embedded(order.front, f"The art of {order.folder}")}</p>'
    if order.pictures and order.address and not order.spots:
        addresses = ((name, href(*order.address, name)) for name in order.pictures)
        shown = (f'<a href="{address}">{text(name)}</a>' for name, address in addresses)
        yield f"<p>Pictures: {', '.join(shown)}</p>"


def _reasons(order: HeldOrder) -> Iterator[str]:
    said = [text(one.finding.message) for one in said_of_sides(order.reasons)]
    yield f"<p>{said[0]}</p>" if len(said) == 1 else bullets(said)


def _answers(order: HeldOrder) -> Iterator[str]:
    if order.is_accepted:
        yield "<p>You said yes: it is made at the next look.</p>"
        return
    if order.held_as:
        yield f"<p><strong>It still waits:</strong> {text(say_no_answer(order))}.</p>"
    yield f"<h4>What you can do in the file app with the folder {named(order.place)}</h4>"
    yield bullets([*map(text, order.ways_out)])


def _strange(order: HeldOrder) -> str:
    said = " ".join(text(one.message) for one in order.reasons)
    ways = " ".join(map(text, order.ways_out))
    return f'<article><h3>{named(order.folder)}</h3>\n<p class="quiet">{said} {ways}</p></article>'


def paper_part(paper: tuple[PaperToPull, ...]) -> Iterator[str]:
    """Which paper to take out of the drawer, and how much."""
    if not paper:
        return
    yield '<table class="piles"><caption>For everything that is ready to print.</caption>'
    yield '<thead><tr><th scope="col" class="number">Sheets</th><th scope="col">Paper</th>'
    yield '<th scope="col" class="number">Orders</th></tr></thead><tbody>'
    for pile in paper[:MOST_SHOWN]:
        yield f'<tr><td class="number">{pile.sheets}</td><th scope="row">{stock(pile)}</th>'
        yield f'<td class="number">{pile.orders}</td></tr>'
    yield "</tbody></table>"
    yield from _rest(len(paper) - len(paper[:MOST_SHOWN]))


def printed_part(printed: Listed[FinishedOrder], now: datetime) -> Iterator[str]:
    """What is printed and has not been taken away, the newest first."""
    shown = printed.first(MOST_PRINTED)
    for order in shown.entries:
        made = f", made {time_tag(order.made, now)}" if order.made else ""
        yield f'<article class="row">{thumb(order.front)}<div><h3>{named(order.name)}</h3>'
        yield f'<p class="quiet">{counted(order.sheets, "sheet")}{made}</p></div></article>'
    yield from _rest(shown.more)


def again_part(seen: Overview) -> Iterator[str]:
    """How an order is made again from a phone, told of the newest that is there; nothing where there is none."""
    known = next(iter((*seen.printed.entries, *seen.finished.entries)), None)
    if known is None:
        return
    name = known.repeat_of or (known.orders[0] if known.orders else known.order or known.folder)
    yield "<p>Make an empty folder in the inbox and name it after the order, such as:</p>"
    yield f"<p><b>{named(say_again(name))}</b></p>"
    yield '<p class="quiet">Without a number it is as many as the first time. All orders are in archive.</p>'


def left_alone_part(left_alone: Listed[str]) -> Iterator[str]:
    """What lies in the inbox and is none of ours."""
    shown = left_alone.first(MOST_SHOWN)
    if shown.entries:
        yield bullets([*map(named, shown.entries)])
    yield from _rest(shown.more)
