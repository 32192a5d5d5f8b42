"""Rebuild a lost or damaged journal from the folders, so that no order is made twice because of it."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

from loguru import logger

from watcher.archive.archived import archived_names
from watcher.archive.ticket_reader import OrderTicket
from watcher.disk import rename
from watcher.inbox.file_names import compare_key
from watcher.orders.held_note import read_held_note
from watcher.orders.quantity import quantity_line, run_line
from watcher.records.journal import FILE_NAME, Entry, Journal, open_journal
from watcher.records.journal_rebuild import begin_rebuild
from watcher.records.order_life import State
from watcher.records.plain_text import one_line


def open_or_rebuild(state: Path, archive: Path, held: Path, stamp: str, first_number: int = 1) -> Journal:
    """Open the journal; where it is missing or damaged, begin a new one with what is held.

    What was made before is brought back by `rebuilding.Rebuilding`, a few orders at a time. A damaged file stays
    beside the new one under another name.

    Args:
        state: where it lies.
        archive: the folder of what was made.
        held: the folder of held orders.
        stamp: now, for the name of a damaged one.
        first_number: above those of all orders that are still on their way, which keep theirs.
    """
    fresh = not (state / FILE_NAME).exists()
    try:
        journal = open_journal(state)
        if not fresh and journal.is_sound():
            return journal
        if not fresh:
            journal.close()
            raise sqlite3.DatabaseError("its pages do not fit together")
    except sqlite3.DatabaseError as error:
        refused = isinstance(error, sqlite3.OperationalError) and "malformed" not in str(error)
        if refused and (not fresh or "full" in str(error)):
            raise  # locked, or the disk refuses: nothing is wrong with the file
        _set_aside(state, stamp, str(error))
        journal = open_journal(state)
    count = len(archived_names(archive))
    begin_rebuild(journal, first_number, count, tuple(_held(held, first_number + count)))
    return journal


def _set_aside(state: Path, stamp: str, why: str) -> None:
    logger.error("the journal is damaged and is made again from the folders: {why}", why=one_line(why))
    for suffix in ("", "-wal", "-shm"):
        file = state / (FILE_NAME + suffix)
        if file.exists():
            rename(file, state / f"damaged-{stamp.replace(':', '')}-{FILE_NAME}{suffix}")


def _held(held: Path, first_number: int) -> Iterator[Entry]:
    """What the held folders tell."""
    for number, place in enumerate(sorted(held.iterdir()) if held.is_dir() else (), start=first_number):
        note = read_held_note(place)
        if note is not None:
            yield Entry(
                number=number,
                name=note.order,
                key=note.key,
                card=note.card,
                state=State.HELD,
                since=note.since,
                folder=place.name,
                says=note.why,
            )


def made_entry(number: int, folder: str, ticket: OrderTicket) -> Entry:
    """Give the entry of an order that was made, as its ticket tells it."""
    return Entry(
        number=number,
        name=ticket.name,
        key=compare_key(ticket.name),
        card=ticket.card,
        state=State.DONE,
        since=ticket.made_at,
        folder=folder,
        art=ticket.order_sha256,
        sheets=ticket.sheets_printed,
        says=_in_run(ticket) if ticket.run else _alone(ticket),
        run=ticket.run,
    )


def _alone(ticket: OrderTicket) -> str:
    base = -(-ticket.designs * ticket.quantity // ticket.up)
    return quantity_line(ticket.quantity, base, max(0, ticket.sheets - base), ticket.designs)


def _in_run(ticket: OrderTicket) -> str:
    return run_line(ticket.quantity, ticket.run, ticket.sheets_printed, len(ticket.run_orders) or 1)
