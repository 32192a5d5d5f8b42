"""Hold an order that cannot be made as it is: its files go to `held`, with the reasons."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from watcher.orders.held_note import HeldNote, read_held_note
from watcher.orders.model import Order
from watcher.outbox.hold import hold
from watcher.outbox.product import built_file
from watcher.records.order_life import Event
from watcher.service.life.announcing import log_line
from watcher.service.life.cases import Next, OrderCase, known
from watcher.service.life.making import Making
from watcher.service.shop import Shop
from watcher.steps import Step, reached
from watcher.terms import Finding, HeldFor
from watcher.work.answer import Answer


def may_be_accepted(_making: Making, case: OrderCase) -> bool:
    """Whether a person may accept the order as it is."""
    return known(case.answer).soft


def hold_order(making: Making, case: OrderCase) -> Next:
    """Move an order to `held`, with why it cannot be made.

    Raises:
        OSError: its files cannot be moved now.
    """
    shop, answer = making.shop, case.answer or Answer()
    note = hold(
        case.order,
        [_public(reason, shop) for reason in _reasons(case)],
        soft=answer.soft,
        needs=answer.needs,
        pictures=tuple(_pictures(case, answer)),
        small_picture=answer.small_picture,
        archive=shop.archive,
        held=shop.held,
        since=shop.stamp(),
    )
    before = making.journal.latest(case.number)
    making.journal.remember(making.journal.entry(case.order, case.then, folder=note.folder, says=note.why))
    reached(Step.HELD_KEPT)
    making.end(case.number, before.art if before else "")
    making.held += 1
    return [(replace(case, line=_line(note)), Event.RECORDED)]


def _pictures(case: OrderCase, answer: Answer) -> Iterator[Path]:
    """Give what a worker left to be held; what it names elsewhere is passed over."""
    for name in answer.pictures:
        picture = built_file(known(case.job).building, name)
        if picture is not None:
            yield picture


def _reasons(case: OrderCase) -> Sequence[str | Finding]:
    """Why an order is held, the gravest first: findings, or sentences for people."""
    if case.order.fault:
        return (case.order.fault,)
    answer = known(case.answer)
    died = f"{files_of(case.order)} cannot be opened safely ({answer.died or ''}). Export it again."
    return answer.reasons or (died,)


def _public(reason: str | Finding, shop: Shop) -> str | Finding:
    """The reason as others than the owner may read it."""
    return shop.public(reason) if isinstance(reason, str) else replace(reason, message=shop.public(reason.message))


def complete_hold(making: Making, case: OrderCase) -> Next:
    """Do what is left to do about an order that a crash caught on its way to `held`."""
    note = _held_as(case.order, making.shop.held)
    entry = case.entry or making.journal.entry(case.order, case.then)
    if note is not None:
        log_line(making.shop, _line(note), since=note.since, begin=_line(replace(note, why="")))
        entry = replace(entry, folder=note.folder, says=note.why)
    making.journal.write(replace(entry, state=known(case.then)))
    return [(case, Event.ANNOUNCED)]


def _line(note: HeldNote) -> str:
    """The line in the log for people."""
    kind = "waits for a yes" if note.needs is HeldFor.YES else "held"
    return f"{note.folder}: {kind}: {note.why}"


def _held_as(order: Order, held: Path) -> HeldNote | None:
    """The note of the newest folder in held with these very files; None where there is none any more."""
    files = {(file.name, file.sha256) for file in order.files}
    notes = [note for place in held.iterdir() if (note := read_held_note(place)) is not None]
    same = [
        note for note in notes if note.key == order.key and {(file.name, file.sha256) for file in note.files} == files
    ]
    return max(same, key=lambda note: note.since, default=None)


def files_of(order: Order) -> str:
    """The art of an order for people; where it lies in the archive still, the ticket that asks for it."""
    return order.shown_art or ", ".join(file.name for file in order.files)
