"""How long something has been waited for, by a steady clock: a lone half, a folder that came back in part."""

from collections.abc import Hashable, Mapping
from typing import Any


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
