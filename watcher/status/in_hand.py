"""List the orders that have left the inbox and are not finished, by the journal and their notes."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path

from watcher.orders.claim import note_of, read_note, taking_folder
from watcher.orders.model import Order
from watcher.orders.quantity import say_cards
from watcher.orders.wishes import Wishes
from watcher.records.journal import Entry
from watcher.records.order_life import PROGRESS, State
from watcher.records.timestamps import local_now, parse_timestamp
from watcher.settings.folders import FolderSettings
from watcher.settings.model import Settings
from watcher.status.model import OrderInHand, Progress
from watcher.status.pictures import is_shown_by_browsers, steps_to
from watcher.status.small_files import Remembered


class OrdersInHand:
    """Lists the orders that are on their way, and caches what their notes say."""

    def __init__(self) -> None:
        self._notes: Remembered[Order] = Remembered(read_note)

    def read(self, entries: Sequence[Entry], settings: Settings) -> list[OrderInHand]:
        """List them in the order in which they came.

        Args:
            entries: of the journal, on their way all of them.
            settings: in force.
        """
        return list(self._read(sorted(entries, key=lambda entry: entry.number), settings))

    def _read(self, entries: Sequence[Entry], settings: Settings) -> Iterator[OrderInHand]:
        self._notes.begin()
        sharing = [entry.number for entry in entries if entry.state is State.SHARING]
        until = _latest_of(sharing, settings) if sharing else {}
        for entry in entries:
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
