"""Read what waits, is being made, is held and is finished from the folders and the journal. Changes nothing."""

import sqlite3
from collections.abc import Iterable, Iterator

from watcher.orders.gather import Insides
from watcher.records.health import Health, read_health
from watcher.records.journal import Entry, read_journal
from watcher.records.order_life import PROGRESS, State
from watcher.records.plain_text import one_line
from watcher.records.timestamps import local_now, parse_timestamp
from watcher.service.lock import is_locked
from watcher.settings.alignment import alignment_notes
from watcher.settings.model import Settings
from watcher.status.finished import Uncollected, paper_to_pull
from watcher.status.gang_waiting import latest_of
from watcher.status.held import HeldOrders
from watcher.status.inbox import InboxView
from watcher.status.model import OrderInHand, Overview, Progress, list_first
from watcher.status.rebuilding import rebuilding_note

__all__ = ["OverviewReader", "Overview", "read_overview"]

_MOST_IN_HAND = 1000


class OverviewReader:
    """Reads the overview of a print folder again and again; what has not changed is not read again."""

    def __init__(self) -> None:
        self._inbox = InboxView()
        self._held = HeldOrders()
        self._outbox = Uncollected()

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
        finished = self._outbox.read(
            folders.outbox, (entry for entry in entries if entry.state is State.DONE), settings.sheets
        )
        return Overview(
            name=settings.folder.name,
            health=health,
            notes=(
                *filter(None, (inbox.trouble, damage, rebuilding_note(folders.state))),
                *alignment_notes(settings, local_now()),
                *notes,
            ),
            waiting=inbox.waiting,
            making=list_first(list(_in_hand(entries, settings)), _MOST_IN_HAND),
            held=self._held.read(folders.held),
            finished=finished,
            paper=paper_to_pull(finished.entries),
            left_alone=inbox.left_alone,
        )


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
        return [], f"The journal in {settings.folders.state.name} cannot be read: {one_line(str(error))}."


def _in_hand(entries: Iterable[Entry], settings: Settings) -> Iterator[OrderInHand]:
    """Orders that have left the inbox and are not finished, in the order in which they came."""
    on_their_way = [entry for entry in sorted(entries, key=lambda entry: entry.number) if entry.state in PROGRESS]
    until = latest_of([entry.number for entry in on_their_way if entry.state is State.SHARING], settings, local_now())
    for entry in on_their_way:
        yield OrderInHand(
            order=entry.name,
            card=entry.card,
            progress=Progress(PROGRESS[entry.state]),
            since=parse_timestamp(entry.since),
            until=until.get(entry.number),
        )
