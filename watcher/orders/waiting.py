"""Measure by a steady clock how long files and incomplete orders have been waiting."""

import time
from collections.abc import Hashable, Mapping
from typing import Any

from watcher.inbox.scan import Identity
from watcher.inbox.settle import Rested


class Arrivals:
    """The age of each file in the inbox.

    By the clock on the wall that is its date on disk. But that clock may have been set: what was not there at one look
    has not been lying there for longer than since then, by the steady clock.
    """

    def __init__(self) -> None:
        self._not_before: dict[Identity, float | None] = {}  # steady clock, s; None: it was there at the first look
        self._looked_at: float | None = None

    def look(self, rested: Rested, now: float) -> None:
        """Take in all files that lie there now; the rest is forgotten."""
        there = {file.identity for file in (*rested.ready, *rested.moving)}
        self._not_before = {identity: self._not_before.get(identity, self._looked_at) for identity in there}
        self._looked_at = now

    def age(self, identity: Identity, now: float) -> float:
        """Seconds that a file has been lying there; of one that is not in the inbox, by its date alone."""
        on_disk = (time.time_ns() - identity.ctime_ns) / 1e9
        not_before = self._not_before.get(identity)
        return on_disk if not_before is None else min(on_disk, now - not_before)


class Waiting:
    """Remembers since when each thing has been waiting."""

    def __init__(self) -> None:
        self._since: dict[Hashable, float] = {}

    def look(self, waiting: Mapping[Any, float], now: float) -> None:
        """Take in everything that waits now; the rest is forgotten.

        Args:
            waiting: each thing with how long it had waited before it was first seen, s (its age on disk: a service
                that starts, or `once` from a timer, must not begin anew).
            now: steady clock, s.
        """
        self._since = {key: self._since.get(key, now - max(0.0, age)) for key, age in waiting.items()}

    def waited(self, key: Hashable, now: float) -> float:
        """Seconds that a thing has waited; 0 for one not seen before."""
        return now - self._since.get(key, now)

    def next_after(self, limit_s: float, now: float) -> float | None:
        """Seconds until the next one has waited `limit_s`; None when none will."""
        left = [since + limit_s - now for since in self._since.values() if since + limit_s > now]
        return min(left, default=None)
