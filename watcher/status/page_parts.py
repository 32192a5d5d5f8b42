"""The parts of the status page: each takes its entries and gives a section of HTML."""

from collections.abc import Iterable, Iterator
from datetime import datetime

from watcher.orders.quantity import counted
from watcher.status.html import bullets, href, named, text, time_tag
from watcher.status.model import FinishedOrder, HeldOrder, Listed, OrderInHand, PaperToPull, ProductKind, WaitingOrder
from watcher.status.words import HELD, PRODUCT, say_day, say_more, say_paper_use, say_progress, say_stock
from watcher.terms import HeldFor

MOST_SHOWN = 100  # entries of a part; a page of thousands helps nobody
_MOST_FILES = 6
_NO_LINK = {ProductKind.PREVIEW, ProductKind.TICKET}  # the picture leads to the one, the other is for machines


def section(key: str, title: str, body: Iterable[str], *, kind: str = "") -> str:
    """A part with its heading."""
    css = f' class="{kind}"' if kind else ""
    return f'<section id="{key}"{css} aria-labelledby="{key}-title"><h2 id="{key}-title">{title}</h2>\n' + (
        "\n".join(body) + "\n</section>"
    )


def _empty(words: str) -> str:
    return f'<p class="empty">{words}</p>'


def _rest(more: int, where: str = "") -> Iterator[str]:
    if more:
        yield f'<p class="quiet">{say_more(more)}{where}</p>'


def held_title(held: Listed[HeldOrder]) -> str:
    """What the person is asked for."""
    if held.count and held.count == sum(order.needs is HeldFor.YES for order in held.entries):
        return "Waits for a yes"
    return "Held: needs your answer" if held.count else "Held"


def held_part(held: Listed[HeldOrder], now: datetime) -> Iterator[str]:
    """Held orders: why, and how to answer."""
    shown = held.first(MOST_SHOWN)
    if not held.count:
        yield _empty("Nothing is held.")
    for order in shown.entries:
        yield _held(order, now)
    yield from _rest(shown.more)


def _held(order: HeldOrder, now: datetime) -> str:
    since = f" since {time_tag(order.since, now)}" if order.since else ""
    reasons = [text(reason.message) for reason in order.reasons]
    why = f"<p>{reasons[0]}</p>" if len(reasons) == 1 else bullets(reasons)
    there = (*order.pictures, *order.files)
    files = ", ".join(map(named, there[:_MOST_FILES]))
    more = f" {say_more(len(there) - _MOST_FILES)}" if len(there) > _MOST_FILES else ""
    answer = (
        "<p>You have accepted it: it is made at the next look.</p>"
        if order.is_accepted
        else f"<h4>What you can do in the file app with the folder {named(order.place)}</h4>"
        + bullets([*map(text, order.ways_out)])
    )
    return (
        f'<article class="{"waits" if order.needs is HeldFor.YES else "held"}"><h3>{named(order.folder)}</h3>\n'
        f'<p class="state">{HELD[order.needs]}{since}</p>\n{why}\n{answer}\n'
        + (f'<p class="quiet">In it: {files}{more}</p>' if files else "")
        + "</article>"
    )


def waiting_part(waiting: Listed[WaitingOrder], now: datetime) -> Iterator[str]:
    """What lies in the inbox."""
    shown = waiting.first(MOST_SHOWN)
    if not waiting.count:
        yield _empty("Nothing waits in the inbox.")
    for order in shown.entries:
        yield _waiting(order, now)
    yield from _rest(shown.more)


def _waiting(order: WaitingOrder, now: datetime) -> str:
    since = f" since {time_tag(order.since, now)}" if order.since else ""
    files = ", ".join(map(named, order.files[:_MOST_FILES]))
    until = ""
    if order.held_after:
        until = f"<p>Set aside after {time_tag(order.held_after, now)} if nothing more comes.</p>"
    if order.made_after:
        until = f"<p>Made with the earlier art after {time_tag(order.made_after, now)} if nothing newer comes.</p>"
    return (
        f'<article class="waits"><h3>{named(order.order)}</h3>\n<p class="state">{_sentence(order.why)}</p>\n'
        f'<p class="quiet">In {named(order.place)}{since}: {files}</p>{until}</article>'
    )


def _sentence(words: str) -> str:
    return text(words[:1].upper() + words[1:])


def making_part(making: Listed[OrderInHand], now: datetime) -> Iterator[str]:
    """Orders between the inbox and the outbox."""
    shown = making.first(MOST_SHOWN)
    if not making.count:
        yield _empty("Nothing is being made.")
    for order in shown.entries:
        since = f", since {time_tag(order.since, now)}" if order.since else ""
        yield f"<article><h3>{named(order.order)}</h3><p>{_sentence(say_progress(order, now))}{since}</p></article>"
    yield from _rest(shown.more)


def paper_part(paper: tuple[PaperToPull, ...]) -> Iterator[str]:
    """Which paper to take out of the drawer, and how much."""
    if not paper:
        yield _empty("No paper is needed: there is nothing to print.")
        return
    yield '<table class="piles"><caption>For everything that lies finished in the outbox.</caption>'
    yield '<thead><tr><th scope="col" class="number">Sheets</th><th scope="col">Paper</th>'
    yield '<th scope="col" class="number">Orders</th></tr></thead><tbody>'
    for pile in paper[:MOST_SHOWN]:
        yield f'<tr><td class="number">{pile.sheets}</td><th scope="row">{_stock(pile)}</th>'
        yield f'<td class="number">{pile.orders}</td></tr>'
    yield "</tbody></table>"
    yield from _rest(len(paper) - len(paper[:MOST_SHOWN]))


def _stock(stock: PaperToPull | FinishedOrder) -> str:
    size = f'<span class="whole">{text(stock.size)}</span>' if stock.size else ""
    return text(say_stock(stock).removesuffix(stock.size)) + size


def finished_part(finished: Listed[FinishedOrder], now: datetime) -> Iterator[str]:
    """Finished orders, ready to print."""
    shown = finished.first(MOST_SHOWN)
    if not finished.count:
        yield _empty("Nothing lies finished in the outbox.")
        return
    yield '<p class="quiet">Each order is a folder of its name, beside this page.</p>'
    yield '<div class="shelf">'
    for order in shown.entries:
        yield _finished(order, now)
    yield "</div>"
    yield from _rest(shown.more, ", older: each in its folder in the outbox")


def _finished(order: FinishedOrder, now: datetime) -> str:
    return "\n".join(
        [
            f"<article><h3>{named(order.folder)}</h3>",
            *_picture(order),
            f'<p class="print">Print {counted(order.sheets, "sheet")}</p>' if order.sheets else "",
            f"<p>{text(order.words)}</p>",
            *(f"<p><strong>Look before you print:</strong> {text(warning)}</p>" for warning in order.warnings),
            *(f"<p><strong>Newer art</strong> under this name: {named(newer)}</p>" for newer in order.newer),
            f'<dl class="facts">{"".join(_facts(order, now))}</dl>',
            bullets([*_links(order)], "links"),
            "</article>",
        ]
    )


def _picture(order: FinishedOrder) -> Iterator[str]:
    if order.pictured:
        address = href(order.folder, order.pictured)
        alt = f"Preview of {text(order.folder)}: the finished sheet"
        yield f'<a class="picture" href="{address}"><img src="{address}" loading="lazy" alt="{alt}"></a>'


def _facts(order: FinishedOrder, now: datetime) -> Iterator[str]:
    facts = {
        "Due": f"<strong>{say_day(order.due, now.date())}</strong>" if order.due else "",
        "Paper": _stock(order),
        "Second side": f"<strong>{text(order.second_side)}</strong>" if order.second_side else "",
        "Card": named(order.card) if order.card else "",
        "Orders": ", ".join(map(named, order.orders)),
        "Note": named(order.note) if order.note else "",
        "Paper use": text(say_paper_use(order)),
        "Made before as": named(order.repeat_of) if order.repeat_of else "",
        "Made": time_tag(order.made, now) if order.made else "",
    }
    for term, said in facts.items():
        if said:
            yield f"<div><dt>{term}</dt><dd>{said}</dd></div>"


def _links(order: FinishedOrder) -> Iterator[str]:
    for file in order.files:
        if file.kind not in _NO_LINK:
            of_what = f'<span class="unseen"> of {text(order.folder)}</span>'
            yield f'<a href="{href(order.folder, file.name)}">{PRODUCT[file.kind]}{of_what}</a>'


def left_alone_part(left_alone: Listed[str]) -> Iterator[str]:
    """What lies in the inbox and is none of ours."""
    shown = left_alone.first(MOST_SHOWN)
    yield bullets([*map(named, shown.entries)]) if shown.entries else _empty("Nothing in the inbox is left alone.")
    yield from _rest(shown.more)
