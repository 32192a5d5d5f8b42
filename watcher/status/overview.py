"""Read what waits, is being made, is held and is finished from the folders and the journal.

Most looks find nothing in the inbox, in held or on its way, nothing that was sent to a printer and no measured
correction. What reads each of these is imported when there is one: it costs more time than all the rest of a look.
"""

import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from watcher.archive.folder_words import PRINTED
from watcher.outbox.printing.standing import is_anything_noted
from watcher.records.health import Health, read_health
from watcher.records.journal import Entry, read_journal
from watcher.records.order_life import PROGRESS, State
from watcher.records.plain_text import hide_places, one_line
from watcher.records.timestamps import local_now
from watcher.service.lock import is_locked
from watcher.settings.model import Settings
from watcher.settings.trust import paths_in
from watcher.status.empty import is_empty, nothing_waits
from watcher.status.finished import Uncollected, paper_to_pull
from watcher.status.model import HeldOrder, InboxSummary, Listed, OrderInHand, Overview, list_first
from watcher.status.rebuilding import rebuilding_note

if TYPE_CHECKING:
    from watcher.orders.gathered import Insides
    from watcher.outbox.printing.order_printing import OrderPrinting
    from watcher.status.held import HeldOrders
    from watcher.status.in_hand import OrdersInHand
    from watcher.status.inbox import InboxView

__all__ = ["OverviewReader", "Overview", "read_overview"]

_MOST_IN_HAND = 1000


class OverviewReader:
    """Reads the overview of a print folder, and caches what has not changed since the last time.

    Args:
        keeps: whether what it read is also kept for others who read one; else nothing is changed.
    """

    def __init__(self, *, keeps: bool = False) -> None:
        self._inbox: InboxView | None = None
        self._held: HeldOrders | None = None
        self._in_hand: OrdersInHand | None = None
        self._outbox = Uncollected(keeps=keeps)
        self._printed = Uncollected(keeps=keeps)

    def read(self, settings: Settings, health: Health, looks: "Insides", notes: tuple[str, ...] = ()) -> Overview:
        """Read the overview as it is now.

        Args:
            settings: in force.
            health: of the service, as it knows itself.
            looks: insides of ZIP and PDF files that are known.
            notes: what is to be said beside what the folders show.
        """
        folders = settings.folders
        inbox = self._read_inbox(settings, looks)
        entries, damage = _journal(settings)
        printings, lost = _printings(settings)
        done = (entry for entry in entries if entry.state is State.DONE)
        with_address = {name for name, sheet in settings.sheets.items() if settings.printer_for(sheet).queue}
        finished = self._outbox.read(folders.outbox, done, settings.sheets, printings, with_address, folders.state)
        public = partial(hide_places, folder=settings.folder, more=paths_in(settings))
        said = (
            *filter(None, (inbox.trouble, damage, lost, rebuilding_note(folders.state))),
            *_alignment_notes(settings),
            *notes,
        )
        return Overview(
            name=settings.folder.name,
            health=replace(health, paused=public(health.paused)) if health.paused else health,
            notes=tuple(map(public, said)),
            waiting=inbox.waiting,
            making=list_first(self._read_in_hand(entries, settings), _MOST_IN_HAND),
            held=self._read_held(settings),
            finished=finished,
            printed=self._printed.read(folders.outbox / PRINTED, (), settings.sheets, state=folders.state),
            paper=paper_to_pull(finished.entries),
            left_alone=inbox.left_alone,
        )

    def _read_inbox(self, settings: Settings, insides: "Insides") -> InboxSummary:
        try:
            if nothing_waits(settings):
                self._inbox = None  # what it remembered of files is of files that are gone
                return InboxSummary()
        except OSError as error:
            return InboxSummary.of_an_unreadable(error)
        from watcher.status.inbox import InboxView

        self._inbox = self._inbox or InboxView()
        return self._inbox.read(settings, insides)

    def _read_held(self, settings: Settings) -> Listed[HeldOrder]:
        if is_empty(settings.folders.held):
            self._held = None
            return Listed()
        from watcher.status.held import HeldOrders

        self._held = self._held or HeldOrders()
        return self._held.read(settings.folders.held, settings.folders.outbox)

    def _read_in_hand(self, entries: Sequence[Entry], settings: Settings) -> list[OrderInHand]:
        on_their_way = [entry for entry in entries if entry.state in PROGRESS]
        if not on_their_way:
            self._in_hand = None
            return []
        from watcher.status.in_hand import OrdersInHand

        self._in_hand = self._in_hand or OrdersInHand()
        return self._in_hand.read(on_their_way, settings)


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


def _printings(settings: Settings) -> "tuple[dict[str, OrderPrinting], str | None]":
    """What was sent to printers, by the key of the order, and what keeps it from being read, if anything."""
    state = settings.folders.state
    try:
        if not is_anything_noted(state):
            return {}, None
        from watcher.outbox.printing.notes import read_printings

        return read_printings(state), None
    except OSError as error:
        return {}, f"{one_line(str(error))}."


def _alignment_notes(settings: Settings) -> tuple[str, ...]:
    """What is to be said about the measured corrections, where there are any."""
    if not settings.alignment_file.exists():
        return ()
    from watcher.settings.alignment import alignment_notes

    return alignment_notes(settings, local_now())
