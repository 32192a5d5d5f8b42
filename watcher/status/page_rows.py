"""A row of the status page for each order that is not printed: what it waits for, and what there is to print."""

from collections.abc import Iterator
from datetime import datetime

from watcher.outbox.printing.standing import PrintStanding
from watcher.status.html import bullets, embedded, href, lying_beside, named, text, time_tag
from watcher.status.model import FinishedOrder, HeldOrder, OrderInHand, PaperToPull, Picture, WaitingOrder
from watcher.status.week import DueGroup, Entry, called, due_group, say_due
from watcher.status.words import (
    HELD,
    NO_QUANTITY,
    say_next_step,
    say_no_answer,
    say_progress,
    say_stage,
    say_stock,
    say_trouble_of,
)
from watcher.terms import HeldFor

MOST_PICTURED = 60  # rows with a picture: the page carries each in itself
_MOST_FILES = 6

# How a finished order's row looks where its printing wants somebody.
_KIND_OF: dict[PrintStanding | None, str] = {
    PrintStanding.NOT_PRINTED: "held",
    PrintStanding.PERHAPS: "held",
    PrintStanding.WAITING: "waits",
    PrintStanding.BACKS: "waits",
}


def row(entry: Entry, now: datetime, *, pictured: bool = True) -> str:
    """One order: its picture, its name, its day and where it stands."""
    css, body = _body(entry, now)
    name = entry.order or entry.folder if isinstance(entry, FinishedOrder) else called(entry)
    return "\n".join(
        [
            f'<article class="row {css}">{_thumb(entry) if pictured else ""}<div>',
            f"<h4>{named(name)}</h4>{_due(entry, now)}",
            *body,
            "</div></article>",
        ]
    )


def thumb(picture: Picture | None) -> str:
    """The small picture of an order; nothing where there is none."""
    return f'<span class="thumb">{embedded(picture, "")}</span>' if picture else ""


def held_id(folder: str) -> str:
    """Where on the page a held order's answer stands."""
    return "held-" + href(folder)


def _thumb(entry: Entry) -> str:
    if isinstance(entry, HeldOrder | FinishedOrder) and entry.front:
        return thumb(entry.front)
    art = () if isinstance(entry, FinishedOrder) else entry.art
    return f'<span class="thumb beside">{lying_beside(art, "")}</span>' if art else ""


def _due(entry: Entry, now: datetime) -> str:
    if entry.due is None:
        return ""
    group = due_group(entry.due, now.date())
    css = {DueGroup.LATE: " late", DueGroup.TODAY: " today"}.get(group, "")
    return f'<p class="due{css}">{say_due(entry.due, now.date())}</p>'


def _body(entry: Entry, now: datetime) -> tuple[str, list[str]]:
    """The kind of a row, and what stands below its name."""
    if isinstance(entry, WaitingOrder):
        return "waits", list(_waiting(entry, now))
    if isinstance(entry, OrderInHand):
        return "well", list(_in_hand(entry, now))
    if isinstance(entry, HeldOrder):
        return "waits" if entry.needs is HeldFor.YES else "held", list(_held(entry, now))
    standing = entry.printing.standing if entry.printing is not None else None
    return _KIND_OF.get(standing, "print"), list(_finished(entry, now))


def _waiting(order: WaitingOrder, now: datetime) -> Iterator[str]:
    yield f'<p class="state">{_sentence(order.why)}</p>'
    if order.held_after:
        yield f"<p>Set aside after {time_tag(order.held_after, now)} if nothing more comes.</p>"
    if order.made_after:
        yield f"<p>Made with the earlier art after {time_tag(order.made_after, now)} if nothing newer comes.</p>"
    since = f" since {time_tag(order.since, now)}" if order.since else ""
    more = len(order.files) - _MOST_FILES
    files = ", ".join(map(named, order.files[:_MOST_FILES])) + (f" and {more} more" if more > 0 else "")
    yield _quiet(text(order.cards), f"in {named(order.place)}{since}: {files}")


def _in_hand(order: OrderInHand, now: datetime) -> Iterator[str]:
    yield f'<p class="state">{_sentence(say_progress(order, now))}</p>'
    since = f"since {time_tag(order.since, now)}" if order.since else ""
    yield _quiet(text(order.cards), named(order.card) if order.card else "", since)


def _held(order: HeldOrder, now: datetime) -> Iterator[str]:
    trouble = say_trouble_of(order)
    words = f"{HELD[order.needs]}: {trouble}" if trouble and order.needs is not HeldFor.YES else HELD[order.needs]
    if order.is_accepted:
        words = "You said yes: it is made at the next look"
    yield f'<p class="state">{text(words)}</p>'
    if order.held_as:
        yield f"<p>It waits: {text(say_no_answer(order))}.</p>"
    yield _quiet(text(order.cards), f"since {time_tag(order.since, now)}" if order.since else "")
    of_what = f'<span class="unseen"> {text(order.folder)}</span>'
    yield bullets([f'<a href="#{held_id(order.folder)}">See why, and answer{of_what}</a>'], "links")


def _finished(order: FinishedOrder, now: datetime) -> Iterator[str]:
    yield f'<p class="state">{_sentence(say_stage(order, now))}</p>'
    yield _quiet(text(order.words), named(order.card) if order.card else "")
    yield from _to_look_at(order)
    yield f'<dl class="facts">{"".join(_facts(order))}</dl>'
    if step := say_next_step(order):
        yield f"<p>{text(step)}</p>"
    yield bullets([*_links(order)], "links")


def _to_look_at(order: FinishedOrder) -> Iterator[str]:
    if order.quantity_from_card:
        yield f"<p><strong>{NO_QUANTITY}</strong></p>"
    if order.order and order.printing is None:
        yield f"<p>Its folder is called {named(order.folder)} now.</p>"
    yield from (f"<p><strong>Look before you print:</strong> {text(warning)}</p>" for warning in order.warnings)
    yield from (f"<p><strong>Newer art</strong> under this name: {named(newer)}</p>" for newer in order.newer)


def _facts(order: FinishedOrder) -> Iterator[str]:
    facts = {
        "Paper": stock(order),
        "Second side": f"<strong>{text(order.second_side)}</strong>" if order.second_side else "",
        "Orders": ", ".join(map(named, order.orders)),
        "Note": named(order.note) if order.note else "",
        "Made before as": named(order.repeat_of) if order.repeat_of else "",
    }
    for term, said in facts.items():
        if said:
            yield f"<div><dt>{term}</dt><dd>{said}</dd></div>"


def stock(paper: PaperToPull | FinishedOrder) -> str:
    """The paper, whose size stays on one line."""
    size = f'<span class="whole">{text(paper.size)}</span>' if paper.size else ""
    return text(say_stock(paper).removesuffix(paper.size)) + size


def _links(order: FinishedOrder) -> Iterator[str]:
    for file in order.files:
        if file.kind.words:
            of_what = f'<span class="unseen"> of {text(order.folder)}: {text(file.name)}</span>'
            yield f'<a href="{href(order.folder, file.name)}">{file.kind.words}{of_what}</a>'


def _quiet(*parts: str) -> str:
    said = " · ".join(part for part in parts if part)
    return f'<p class="quiet">{said}</p>' if said else ""


def _sentence(words: str) -> str:
    return text(words[:1].upper() + words[1:])
