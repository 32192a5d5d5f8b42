"""Draw the art of an order that is about to be held, with the spots in question marked."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from watcher.art.small_picture import small_picture_of
from watcher.errors import OrderHeld
from watcher.instructions.held_picture import MOST_DESIGNS, ShownDesign, why_png
from watcher.orders.both_sides import said_of_sides
from watcher.orders.held_note import WHY_PICTURE
from watcher.terms import Finding, HeldFor, Level
from watcher.work.answer import held_answer
from watcher.work.job import WAITS_FOR_YES, Job
from watcher.work.order_art import GoodArt, checked_art


def add_picture(held: OrderHeld, job: Job, art: GoodArt) -> None:
    """Write a picture of an order's art into its building folder, and name it among the pictures of the hold.

    Of a fault of the program there is evidence of its own, and a card without anything to be said of it has its picture
    already.

    Args:
        held: why the order is held.
        job: the order.
        art: its art, opened.
    """
    answer = held_answer(held)
    if answer.needs is HeldFor.FAULT:
        return
    told = _told(answer.reasons, art.findings)
    designs = list(_shown(job, art, told))
    if not designs:
        return
    held.small_picture = small_picture_of(designs[0].faces[0], art.card.opened_out)
    if answer.needs is HeldFor.YES and not told:
        return
    name = job.name + WHY_PICTURE
    job.building.mkdir(exist_ok=True)
    (job.building / name).write_bytes(why_png(designs, said_of_sides(told), art.card.opened_out))
    held.pictures = (*answer.pictures, name)


def _told(reasons: Sequence[Finding], found: Sequence[Finding]) -> tuple[Finding, ...]:
    """The reasons, and then the warnings that whoever answers should see too."""
    warnings = [finding for finding in found if finding.level is Level.WARN and finding not in reasons]
    return (*(reason for reason in reasons if reason.code != WAITS_FOR_YES), *warnings)


def _shown(job: Job, art: GoodArt, told: Sequence[Finding]) -> Iterator[ShownDesign]:
    """The designs that are spoken of, the first ones; of many no thumbnail was kept, so they are opened again."""
    if len(art.designs) == 1:
        if any(face.art.thumbnail is not None for face in art.faces):
            yield ShownDesign(faces=art.designs[0].faces)
        return
    spoken_of = [
        design.number
        for design in art.designs
        if any(face.art.file in finding.message for face in design.faces for finding in told)
    ]
    for number in (spoken_of or [art.designs[0].number])[:MOST_DESIGNS]:
        wishes = replace(job.order.wishes, only=(number,))
        alone = checked_art(replace(job, order=replace(job.order, wishes=wishes)), keep_common=False)
        yield ShownDesign(faces=alone.designs[0].faces, caption=str(number))
