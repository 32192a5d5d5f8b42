"""Deliver a finished order to archive and outbox, now or after a pause; or have it made again."""

from dataclasses import replace

from loguru import logger

from watcher.archive.archived import Archived, read_archived, read_order_ticket
from watcher.archive.folder_words import folder_of
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.inbox.file_names import compare_key
from watcher.orders.claim import taking_folder
from watcher.orders.say import earlier_words
from watcher.outbox.product import drop_others, drop_product, is_whole
from watcher.outbox.publish import NameTaken, TakenTooSoon, deliver, make_sure_of_room, point_to_newer, still_there
from watcher.records.journal import Entry
from watcher.records.order_life import Event, State
from watcher.records.plain_text import one_line
from watcher.service.life.cases import NOTHING, Next, OrderCase, known
from watcher.service.life.making import Making
from watcher.service.shop import Shop
from watcher.steps import Step, reached
from watcher.terms import Side

MADE_AGAIN = 3  # an order whose product is taken away is made so many times in a row, then again after a pause


def taken_too_soon(name: str, shop: Shop) -> TakenTooSoon:
    """Give the reason of the pause after a product was taken away again and again."""
    return TakenTooSoon(
        f"files of {one_line(name)} were taken away three times while they were being made in {shop.archive}. Let"
        " nobody empty that folder"
    )


# -- conditions --------------------------------------------------------------------------------------------------------


def is_made(_making: Making, case: OrderCase) -> bool:
    """Whether the order's product is finished."""
    return case.made is not None


def is_product_not_whole(making: Making, case: OrderCase) -> bool:
    """Whether the folders are there, and the art, but not all files of what was made of it."""
    if case.made is None:
        return False
    art = taking_folder(making.shop.archive, case.number)
    is_there = making.shop.roots.are_there() and art.exists()
    return is_there and not is_whole(known(case.job).building, case.made.product)


# -- actions -----------------------------------------------------------------------------------------------------------


def keep_for_delivery(making: Making, case: OrderCase) -> Next:
    """Deliver an order once the workers have their next orders."""
    reached(Step.MADE)
    making.undelivered.append(case)
    return NOTHING


def deliver_now(_making: Making, case: OrderCase) -> Next:
    """Deliver an order at once, as it was made to see whether a pause is over."""
    reached(Step.MADE)
    return [(case, Event.DELIVERY_DUE)]


def deliver_order(making: Making, case: OrderCase) -> Next:
    """Move the art of an order to the archive and its product to the outbox.

    Raises:
        OSError: disk or rights; nothing is lost.
    """
    order, job, made, shop = case.order, known(case.job), known(case.made), making.shop
    make_sure_of_room(made.product, archive=shop.archive, outbox=shop.outbox)
    drop_others(job.building, made.product)
    again = "" if job.repeat_of is None else f"; {job.repeat_of} again"
    says = f"{made.words}{again}{earlier_words(order)}"
    art = job.order_sha256
    entry = making.journal.entry(order, case.then, folder=job.name, art=art, sheets=made.sheets, says=says)
    making.journal.write(entry)
    reached(Step.DELIVERING)
    try:
        deliver(order.number, job.name, archive=shop.archive, outbox=shop.outbox)
    except NameTaken:
        return [(case, Event.NAME_TAKEN)]
    return [(replace(case, entry=entry), Event.DELIVERED)]


def deliver_later(making: Making, case: OrderCase) -> Next:
    """Pause; the order is the next that is delivered."""
    assert isinstance(case.error, OSError)
    making.undelivered.insert(0, replace(case, error=None))
    making.journal.pause(case.error)
    return NOTHING


def make_again(making: Making, case: OrderCase) -> Next:
    """Make an order again whose product is not whole any more, unless that has happened again and again."""
    order = case.order
    making.remade[order.number] += 1
    logger.warning("{order}: files were taken out of what was made; made again", order=one_line(order.name))
    drop_product(known(case.job).building)
    if making.remade[order.number] % MADE_AGAIN == 0:
        return [(replace(case, error=taken_too_soon(order.name, making.shop)), Event.MADE_IN_VAIN)]
    making.queue.add_again(order)
    return NOTHING


def record(making: Making, case: OrderCase) -> Next:
    """Write that an order is done, once art and product have their final places."""
    entry = known(case.entry)
    try:
        _note_newer(making.shop, entry)
    except OSError as error:  # a note that cannot be left harms nothing
        logger.warning("no note of newer art could be left: {why}", why=one_line(str(error)))
    if entry.state is not State.DONE:
        making.journal.remember(replace(entry, state=known(case.then), since=making.shop.stamp()))
        making.made += 1
    making.remade.pop(entry.number, None)
    reached(Step.DONE)
    making.end(entry.number, entry.art)
    return [(case, Event.RECORDED)]


def is_in_a_run(_making: Making, case: OrderCase) -> bool:
    """Whether the order shares its sheets with others."""
    return bool(known(case.entry).run)


def _note_newer(shop: Shop, made: Entry) -> None:
    """Leave a note in uncollected earlier orders of this name with other art."""
    others = [
        entry
        for entry in shop.journal.finished_named(made.key)
        if entry.folder != made.folder and entry.in_outbox != made.in_outbox
    ]
    if not others:  # nearly always, and reading its ticket takes longer than to find that out
        return
    newer = _archived(shop, made)
    for entry in others:
        is_other = _is_other_art(newer, _archived(shop, entry))
        if is_other and still_there(shop.outbox, entry.in_outbox):
            name = one_line(entry.name) if entry.run else None
            point_to_newer(shop.outbox, entry.in_outbox, made.in_outbox, name)


def _archived(shop: Shop, entry: Entry) -> Archived | None:
    """What a finished order's ticket tells, out of the archive or from beside its sheets."""
    beside = folder_of(shop.outbox, entry.in_outbox) / (entry.folder + TICKET_SUFFIX)
    return read_archived(shop.archive / entry.folder) or read_order_ticket(beside)


def _is_other_art(newer: Archived | None, earlier: Archived | None) -> bool:
    """Whether sheets of an order are outdated by those of a newer one of its name: a side of a card is another now.

    A repeat brings nothing new, whichever of several arts it repeats; nor do other designs, or another card.
    Where a ticket cannot be read, nothing is said.
    """
    if newer is None or earlier is None or newer.repeat_of is not None:
        return False
    if compare_key(newer.wishes.card) != compare_key(earlier.wishes.card):
        return False
    there = _art_by_place(earlier)
    return any(there.get(place, art) != art for place, art in _art_by_place(newer).items())


def _art_by_place(order: Archived) -> dict[tuple[int, Side], tuple[str, int]]:
    return {(one.design, one.side): (one.sha256, one.page or 0) for one in order.art}
