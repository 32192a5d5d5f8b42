"""Orders that wait for others, seen from outside of the service: read from their notes, changing nothing."""

from collections.abc import Iterable, Mapping
from contextlib import suppress
from datetime import datetime

from watcher.orders.claim import note_of, read_note
from watcher.service.life.gang_pool import Moment, Pool, arrived_at
from watcher.settings.model import Settings


def pool_of(numbers: Iterable[int], settings: Settings, now: datetime) -> Pool:
    """The orders of these numbers, with how long they have waited; without those that are gone at this moment."""
    pool, archive = Pool(), settings.folders.archive
    for number in numbers:
        with suppress(OSError, ValueError, KeyError, TypeError):
            order = read_note(note_of(archive, number))
            pool.add(order, arrived_at(archive, number, now), Moment(steady=0.0, wall=now))
    return pool


def latest_of(numbers: Iterable[int], settings: Settings, now: datetime) -> Mapping[int, datetime]:
    """When the orders of these numbers are made at the latest."""
    return pool_of(numbers, settings, now).latest(settings, Moment(steady=0.0, wall=now))
