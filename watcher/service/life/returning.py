"""Return an order to the inbox when its files were changed or taken away after they were taken."""

from dataclasses import replace

from watcher.disk import sha256_of
from watcher.orders.claim import put_back, taking_folder
from watcher.orders.model import Order
from watcher.outbox.product import building_folder, drop_product
from watcher.records.order_life import Event
from watcher.service.life.cases import NOTHING, Next, OrderCase
from watcher.service.life.making import Making

MOST_RETURNS = 3  # an order whose files are written to while it is made goes back so many times, then it is held


# -- conditions --------------------------------------------------------------------------------------------------------


def files_changed(making: Making, case: OrderCase) -> bool:
    """Whether the files of an order were written to: of one that was made their sizes, of others every byte."""
    return was_written_to(making, case.order, every_byte=case.made is None)


def was_written_to(making: Making, order: Order, *, every_byte: bool = False) -> bool:
    """Whether a program that had a file open has gone on writing to it after it was taken.

    Args:
        making: counts how often that happened.
        order: whose files lie in the archive.
        every_byte: whether to read the files too; else their sizes alone are compared.

    Returns:
        False too when that has happened to it so often that it is to be held.
    """
    folder = taking_folder(making.shop.archive, order.number)
    there = [(folder / file.name, file) for file in order.files if (folder / file.name).exists()]
    changed = any(path.stat().st_size != file.size for path, file in there)
    changed = changed or (every_byte and any(sha256_of(path) != file.sha256 for path, file in there))
    return changed and making.returned[order.key] < MOST_RETURNS


def files_gone(making: Making, case: OrderCase) -> bool:
    """Whether somebody has taken files of the order out of the archive, which is there."""
    folder = taking_folder(making.shop.archive, case.number)
    return making.shop.roots.are_there() and not all((folder / file.name).is_file() for file in case.order.files)


# -- the action --------------------------------------------------------------------------------------------------------


def return_order(making: Making, case: OrderCase) -> Next:
    """Put what is there of an order back into the inbox, where it must rest again."""
    order, shop = case.order, making.shop
    why = "written to" if case.error is None else "taken away"  # only files that are gone bring an error here
    try:
        shop.roots.check()
        put_back(order, shop.archive)
        making.journal.forget(order.number)
    except OSError as error:
        return [(replace(case, error=error), Event.RETURN_FAILED)]
    making.returned[order.key] += 1
    making.tried_alone.discard(order.number)
    drop_product(building_folder(shop.archive, order.number))
    shop.log.add(f"{order.name}: was {why} while it was made; what is there of it lies in the inbox again")
    return NOTHING
