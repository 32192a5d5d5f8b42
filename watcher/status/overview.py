"""Read what waits, is being made, is held and is finished from the folders and the journal."""

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path

from watcher.archive.folder_words import PRINTED
from watcher.orders.claim import note_of, read_note, taking_folder
from watcher.orders.gathered import Insides
from watcher.orders.model import Order
from watcher.orders.quantity import say_cards
from watcher.orders.wishes import Wishes
from watcher.outbox.printing.notes import read_printings
from watcher.outbox.printing.order_printing import OrderPrinting
from watcher.records.health import Health, read_health
from watcher.records.journal import Entry, read_journal
from watcher.records.order_life import PROGRESS, State
from watcher.records.plain_text import hide_places, one_line
from watcher.records.timestamps import local_now, parse_timestamp
from watcher.service.lock import is_locked
from watcher.settings.alignment import alignment_notes
from watcher.settings.folders import FolderSettings
from watcher.settings.model import Settings
from watcher.settings.trust import paths_in
from watcher.status.finished import Uncollected, paper_to_pull
from watcher.status.held import HeldOrders
from watcher.status.inbox import InboxView
from watcher.status.model import OrderInHand, Overview, Progress, list_first
from watcher.status.pictures import is_shown_by_browsers, steps_to
from watcher.status.rebuilding import rebuilding_note
from watcher.status.small_files import Remembered

__all__ = ["OverviewReader", "Overview", "read_overview"]

_MOST_IN_HAND = 1000


class OverviewReader:
    """Reads the overview of a print folder again and again; what has not changed is not read again.

    Args:
        keeps: whether what it read is also kept for others who read one; else nothing is changed.
    """

    def __init__(self, *, keeps: bool = False) -> None:
        self._inbox = InboxView()
        self._held = HeldOrders()
        self._outbox = Uncollected(keeps=keeps)
        self._printed = Uncollected(keeps=keeps)
        self._notes: Remembered[Order] = Remembered(read_note)

    def read(self, settings: Settings, health: Health, looks: Insides, notes: tuple[str, ...] = ()) -> Overview:
        """Read the overview as it is now.

        Args:
            settings: in force.
            health: of the service, as it knows itself.
            looks: insides of ZIP and PDF files that are known.
            notes: what is to be said beside what the folders show.
        """
        folders = settings.folders
        inbox = self._inbox.read(settings, looks)
        entries, damage = _journal(settings)
        printings, lost = _printings(settings)
        done = (entry for entry in entries if entry.state is State.DONE)
        with_address = {name for name, sheet in settings.sheets.items() if settings.printer_for(sheet).queue}
        finished = self._outbox.read(folders.outbox, done, settings.sheets, printings, with_address, folders.state)
        public = partial(hide_places, folder=settings.folder, more=paths_in(settings))
        said = (
            *filter(None, (inbox.trouble, damage, lost, rebuilding_note(folders.state))),
            *alignment_notes(settings, local_now()),
            *notes,
        )
        return Overview(
            name=settings.folder.name,
            health=replace(health, paused=public(health.paused)) if health.paused else health,
            notes=tuple(map(public, said)),
            waiting=inbox.waiting,
            making=list_first(list(self._in_hand(entries, settings)), _MOST_IN_HAND),
            held=self._held.read(folders.held, folders.outbox),
            finished=finished,
            printed=self._printed.read(folders.outbox / PRINTED, (), settings.sheets, state=folders.state),
            paper=paper_to_pull(finished.entries),
            left_alone=inbox.left_alone,
        )

    def _in_hand(self, entries: Iterable[Entry], settings: Settings) -> Iterator[OrderInHand]:
        """Orders that have left the inbox and are not finished, in the order in which they came."""
        self._notes.begin()
        on_their_way = [entry for entry in sorted(entries, key=lambda entry: entry.number) if entry.state in PROGRESS]
        sharing = [entry.number for entry in on_their_way if entry.state is State.SHARING]
        until = _latest_of(sharing, settings) if sharing else {}
        for entry in on_their_way:
            order = self._order(settings.folders.archive, entry.number)
            yield OrderInHand(
                order=entry.name,
                card=entry.card,
                progress=Progress(PROGRESS[entry.state]),
                since=parse_timestamp(entry.since),
                until=until.get(entry.number),
                due=order.wishes.due if order else None,
                cards=_cards(order.wishes) if order else "",
                art=_art(order, settings.folders) if order else (),
            )

    def _order(self, archive: Path, number: int) -> Order | None:
        """What an order's note tells; None where it is gone at this moment."""
        try:
            return self._notes.of(note_of(archive, number))
        except (OSError, ValueError, KeyError, TypeError):
            return None


def _latest_of(sharing: Iterable[int], settings: Settings) -> Mapping[int, datetime]:
    """When orders that wait for others are made at the latest."""
    from watcher.status.gang_waiting import latest_of  # costs time that a look need not wait for where none waits

    return latest_of(sharing, settings, local_now())


def _art(order: Order, folders: FolderSettings) -> tuple[str, ...]:
    """The first art of an order that a browser shows, as steps from the outbox."""
    shown = (file.name for file in order.files if is_shown_by_browsers(file.name, file.size))
    place = taking_folder(folders.archive, order.number)
    return next((steps_to(place / name, folders.outbox) for name in shown), ())


def _cards(wishes: Wishes) -> str:
    return say_cards(wishes.quantity, from_card=wishes.quantity_from_card)


def read_overview(settings: Settings, notes: tuple[str, ...] = ()) -> Overview:
    """Read the overview of a print folder from outside its service."""
    state = settings.folders.state
    health = read_health(state, at_work=is_locked(state))
    return OverviewReader().read(settings, health, looks={}, notes=notes)


def _journal(settings: Settings) -> tuple[list[Entry], str | None]:
    """The orders of the journal, newest first, and what is wrong with it, if anything."""
    try:
        journal = read_journal(settings.folders.state)
        if journal is None:
            return [], None
        try:
            in_hand = journal.in_state(*PROGRESS, newest=_MOST_IN_HAND)
            return [*in_hand, *journal.in_state(State.DONE)], None
        finally:
            journal.close()
    except (sqlite3.Error, OSError, ValueError) as error:
        return [], f"What was made before cannot be read ({one_line(str(error))}), so orders may be missing here."


def _printings(settings: Settings) -> tuple[dict[str, OrderPrinting], str | None]:
    """What was sent to printers, by the key of the order, and what keeps it from being read, if anything."""
    try:
        return read_printings(settings.folders.state), None
    except OSError as error:
        return {}, f"{one_line(str(error))}."
