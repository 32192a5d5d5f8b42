"""Measure by a steady clock how long files and incomplete orders have been waiting."""

import time
from collections.abc import Hashable, Mapping
from typing import Any

from watcher.inbox.scan import Identity
from watcher.inbox.settle import Rested


class Arrivals:
    """Remembers since when each file has been in the inbox.

    Its date on disk says so, by the wall clock. But that clock may have been set: a file that was not there at one
    reading of the inbox is no older than that reading, by the steady clock.
    """

    def __init__(self) -> None:
        self._not_before: dict[Identity, float | None] = {}  # steady clock, s; None: it was there at the first look
        self._looked_at: float | None = None

    def update(self, rested: Rested, now: float) -> None:
        """Note all files that are there now; forget the others."""
        there = {file.identity for file in (*rested.ready, *rested.moving)}
        self._not_before = {identity: self._not_before.get(identity, self._looked_at) for identity in there}
        self._looked_at = now

    def age(self, identity: Identity, now: float) -> float:
        """Give the age of a file, s; of one that is not in the inbox, by its date alone."""
        on_disk = (time.time_ns() - identity.ctime_ns) / 1e9
        not_before = self._not_before.get(identity)
        return on_disk if not_before is None else min(on_disk, now - not_before)


class Waiting:
    """Remembers since when each order or folder has been waiting."""

    def __init__(self) -> None:
        self._since: dict[Hashable, float] = {}

    def update(self, waiting: Mapping[Any, float], now: float) -> None:
        """Note everything that waits now; forget the rest.

        Args:
            waiting: each thing with how long it had waited before it was first seen, s (its age on disk: a service
                that starts, or `once` from a timer, must not begin anew).
            now: steady clock, s.
        """
        self._since = {key: self._since.get(key, now - max(0.0, age)) for key, age in waiting.items()}

    def waited(self, key: Hashable, now: float) -> float:
        """Give how long a thing has waited, s; 0 for one not seen before."""
        return now - self._since.get(key, now)

    def next_after(self, limit_s: float, now: float) -> float | None:
        """Give the seconds until the next thing has waited `limit_s`; None when none will."""
        left = [since + limit_s - now for since in self._since.values() if since + limit_s > now]
        return min(left, default=None)
