"""Complete or undo, at a start, what a stop or a crash cut short of one order."""

from dataclasses import replace
from pathlib import Path

from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.archive.ticket_reader import read_ticket
from watcher.orders.claim import drop_taking
from watcher.orders.recover import undo
from watcher.outbox.product import building_folder
from watcher.outbox.publish import deliver
from watcher.records.order_life import Event
from watcher.service.life.announcing import log_line
from watcher.service.life.cases import NOTHING, Next, OrderCase, known
from watcher.service.life.making import Making

# -- conditions --------------------------------------------------------------------------------------------------------


def has_arrived(_making: Making, case: OrderCase) -> bool:
    """Whether the order's files have their final place."""
    return case.arrived


def is_claim_not_whole(_making: Making, case: OrderCase) -> bool:
    """Whether files of the order were not taken, or those of another order that came with it."""
    return not case.is_whole


def is_in_archive(making: Making, case: OrderCase) -> bool:
    """Whether the order's ticket lies in the archive."""
    return _ticket(making, known(case.entry).folder).is_file()


# -- actions -----------------------------------------------------------------------------------------------------------


def complete_delivery(making: Making, case: OrderCase) -> Next:
    """Publish the product of an order whose art has been archived, and take the order for delivered."""
    shop = making.shop
    name = finished_for(building_folder(shop.archive, case.number))
    if name is not None and read_ticket(_ticket(making, name)) is not None:
        deliver(case.number, name, archive=shop.archive, outbox=shop.outbox)
    return [(replace(case, again=True), Event.DELIVERED)]


def complete_same(making: Making, case: OrderCase) -> Next:
    """Log an order of the very art whose sheets still lay in the outbox, and remove its files."""
    entry, shop = known(case.entry), making.shop
    made = next(iter(shop.journal.finished_with_fingerprint(entry.art)), entry)
    begin = f"{case.order.name}: the same art again; "
    line = f"{begin}its sheets still lie in the outbox ({made.in_outbox})"
    log_line(shop, line, since=entry.since, begin=begin)
    drop_taking(shop.archive, case.number)
    making.journal.end(case.number)
    return NOTHING


def undo_claim(making: Making, case: OrderCase) -> Next:
    """Put the files of an order back into the inbox whose claim was cut short."""
    undo(case.order, making.shop.archive)
    making.journal.forget(case.number)
    return NOTHING


def count_death(making: Making, case: OrderCase) -> Next:
    """Count the death of the service against the order's art.

    A death before a worker was at work on it, or after it had made the sheets, says nothing against it; a run is made
    singly after any two.
    """
    entry = known(case.entry)
    counts = bool(entry.art) and (bool(entry.run) or _was_at_work(making, case.number))
    deaths = making.shop.journal.count_service_death(entry.art) if counts else 0
    return [(replace(case, deaths=deaths), Event.SERVICE_DIED)]


def forget(making: Making, case: OrderCase) -> Next:
    """Forget an order that the journal has on its way, but of which no file is left."""
    making.journal.forget(case.number)
    return NOTHING


def _was_at_work(making: Making, number: int) -> bool:
    """Whether a worker had begun with the order and had not come to its end."""
    building = building_folder(making.shop.archive, number)
    return building.is_dir() and finished_for(building) is None


def finished_for(building: Path) -> str | None:
    """Give the order that a finished product in its building folder is for; None while it is not finished."""
    for file in building.glob(f"*{TICKET_SUFFIX}"):
        ticket = read_ticket(file)
        if ticket is not None and ticket.order:
            return ticket.order
    return None


def _ticket(making: Making, folder: str) -> Path:
    return making.shop.archive / folder / (folder + TICKET_SUFFIX)
