"""After a stop or a crash: what it cut short is finished or undone before anything new is taken."""

import shutil
from pathlib import Path

from watcher.disk import move_folder
from watcher.orders.recover import LeftOver, highest_number, left_overs, undo
from watcher.outbox.hold import finish_hold
from watcher.outbox.product import BUILDING
from watcher.records.journal import ON_THEIR_WAY, State
from watcher.service.claiming import Claiming
from watcher.service.making import Making
from watcher.service.shop import Shop

_ALL = 1_000_000_000


def recover(shop: Shop, claiming: Claiming, making: Making) -> None:
    """Finish or undo what a stop cut short.

    Args:
        shop: folders and journal.
        claiming: learns which number is free, and what was taken.
        making: is given what is to be made.

    Raises:
        OSError: disk, rights or mounts stand in the way.
    """
    archive = shop.archive
    claiming.next_number = max(shop.journal.last_number(), highest_number(archive)) + 1
    _bring_from_outbox(shop)
    making.finish_runs()
    left = left_overs(archive)
    cut_short = {file.origin for one in left if not one.whole for file in one.order.files}
    for one in left:
        _take_up(one, shop, making, cut_short)
    claiming.clear_up_after(one.order for one in left if one.whole)
    on_their_way = {one.order.number for one in left}
    for entry in shop.journal.in_state(*ON_THEIR_WAY, newest=_ALL):
        if entry.number not in on_their_way:
            making.close(entry)
    making.tell_runs()
    _sweep(archive)
    _sweep_moves(shop.held)
    _sweep_moves(archive)
    _sweep_moves(shop.outbox)


def _take_up(one: LeftOver, shop: Shop, making: Making, cut_short: set[str]) -> None:
    """Bring one order to where it is made, or to its end."""
    order, archive = one.order, shop.archive
    entry = shop.journal.find(order.number)
    if not order.files:  # they have their final place
        making.finish_delivery(order, entry)
    elif entry is not None and entry.state is State.SAME:
        making.finish_same(order, entry)
    elif finish_hold(order, archive=archive, held=shop.held):
        making.finish_delivery(order, entry)
    elif one.whole and not any(file.origin in cut_short for file in order.files):
        making.resume(order, entry)
    else:
        undo(order, archive)
        shop.journal.forget(order.number)


def _bring_from_outbox(shop: Shop) -> None:
    """Products of an earlier version, which built them in the outbox, are finished or removed from where ours lie."""
    for folder in shop.outbox.glob(f"{BUILDING}*"):
        target = shop.archive / folder.name
        if target.exists():
            shutil.rmtree(target)
        move_folder(folder, target)


def _sweep(archive: Path) -> None:
    """Remove half-built products; what was finished has been delivered before."""
    for folder in archive.glob(f"{BUILDING}*"):
        for file in folder.iterdir():
            file.unlink()
        folder.rmdir()


def _sweep_moves(parent: Path) -> None:
    """Remove what a move across devices or a removal that was cut short left; the whole is elsewhere."""
    for folder in (*parent.glob(".*.part"), *parent.glob(".*.gone")):
        if folder.is_dir() and not folder.is_symlink():
            shutil.rmtree(folder)
