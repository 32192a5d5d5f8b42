"""Finish or undo, after a stop or a crash, what it cut short, before anything new is taken."""

from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.archive.ticket_reader import read_ticket
from watcher.disk import FileInUse, empty_folder, move_folder, remove, remove_empty_folder, remove_tree, sha256_of
from watcher.orders.claim import note_of, read_note
from watcher.orders.model import Order
from watcher.orders.quantity import counted
from watcher.orders.recover import LeftOver, highest_number, left_overs
from watcher.outbox.hold import finish_hold
from watcher.outbox.product import BUILDING
from watcher.records.journal import Entry
from watcher.records.order_life import ON_THEIR_WAY, Event, State
from watcher.service.claiming import Claiming
from watcher.service.life.cases import OrderCase, RunCase
from watcher.service.life.executor import happen_at_start
from watcher.service.life.making import Making
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
    making.runs.complete_cut_short()
    left = left_overs(archive, shop.taken_from)
    cut_short = {file.origin for one in left if not one.whole for file in one.order.files}
    for one in left:
        happen_at_start(making, _found(making, one, cut_short), Event.STARTED_AGAIN)
    claiming.clear_up_after(one.order for one in left if one.whole)
    with_note = {one.order.number for one in left}
    for entry in shop.journal.in_state(*ON_THEIR_WAY, newest=_ALL):
        if entry.number not in with_note:
            making.journal.recall(entry)
            happen_at_start(making, OrderCase(number=entry.number, entry=entry), Event.NOTE_GONE)
    _announce_runs(making)
    _sweep(archive)
    _sweep_moves(shop.held)
    _sweep_moves(archive)
    _sweep_moves(shop.outbox)


def _found(making: Making, one: LeftOver, cut_short: set[str]) -> OrderCase:
    """What folders and journal tell of an order whose note a start finds."""
    shop, order = making.shop, one.order
    entry = shop.journal.find(order.number)
    is_same = entry is not None and entry.state is State.SAME
    arrived = not order.files or (not is_same and finish_hold(order, archive=shop.archive, held=shop.held))
    if arrived:
        order = read_note(note_of(shop.archive, order.number), shop.taken_from)
        if entry is None or entry.key != order.key:  # the journal was lost in the same moment
            entry = _made_from(shop, order)
    if entry is not None:
        making.journal.recall(entry)
    is_whole = one.whole and not any(file.origin in cut_short for file in order.files)
    return OrderCase(number=order.number, claimed=order, entry=entry, arrived=arrived, is_whole=is_whole)


def _made_from(shop: Shop, order: Order) -> Entry | None:
    """The newest order of the archive that was made from these very files, as the journal has it."""
    for entry in shop.journal.finished_named(order.key):
        folder = shop.archive / entry.folder
        files = {folder / file.name: file.sha256 for file in order.files}
        if all(path.is_file() and sha256_of(path) == digest for path, digest in files.items()):
            return replace(entry, number=order.number)
    return None


def _announce_runs(making: Making) -> None:
    """Announce the runs whose delivery was cut short, once each."""
    for run, entries in tuple(making.runs.unannounced.items()):
        words = f"{counted(entries[0].sheets, 'sheet')} for {_orders_of(making.shop, entries)} orders"
        numbers = tuple(entry.number for entry in entries)
        happen_at_start(making, RunCase(run=run, numbers=numbers, words=words, again=True), Event.RUN_DELIVERED)


def _orders_of(shop: Shop, entries: list[Entry]) -> int:
    """How many orders share a run, as the ticket of one of them tells it."""
    folder = entries[0].folder
    ticket = read_ticket(shop.archive / folder / (folder + TICKET_SUFFIX))
    return len(ticket.run_orders) if ticket and ticket.run_orders else len(entries)


def _bring_from_outbox(shop: Shop) -> None:
    """Move products of an earlier version, which built them in the outbox, to where ours are built."""
    for folder in shop.outbox.glob(f"{BUILDING}*"):
        target = shop.archive / folder.name
        remove(target)
        move_folder(folder, target)


def _sweep(archive: Path) -> None:
    """Remove half-built products; what was finished has been delivered before.

    What another program has open stays, here and below, for the next start: nothing else comes to lie there.
    """
    for folder in archive.glob(f"{BUILDING}*"):
        with suppress(FileInUse):
            empty_folder(folder)
            if folder.exists():
                remove_empty_folder(folder)


def _sweep_moves(parent: Path) -> None:
    """Remove what a move across devices or a removal that was cut short left; the whole is elsewhere."""
    for folder in (*parent.glob(".*.part"), *parent.glob(".*.gone")):
        if folder.is_dir() and not folder.is_symlink():
            with suppress(FileInUse):
                remove_tree(folder)
