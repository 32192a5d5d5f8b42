"""Say once that the service pauses, and once that it goes on; and tell when to try again."""

import os
import shutil
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from loguru import logger

from watcher.records.plain_text import one_line

SOONEST_S = 2.0  # between two looks whether something got better, which cost nothing
_FIRST_TRY_S, _LONGEST_TRY_S = 5.0, 60.0  # between two tries although nothing is seen to have got better
_MORE_ROOM_BYTES = 64 * 1024


class Part(StrEnum):
    """The parts of the service that may have to wait."""

    TAKING = "taking"
    MAKING = "making"


class Pauses:
    """Why the service waits. However many parts of it wait, and for whatever reasons, it is one pause to people.

    Args:
        say: writes a line into the log for people.
    """

    def __init__(self, say: Callable[[str], None]) -> None:
        self._say = say
        self._reasons: dict[Part, str] = {}

    def why(self, part: Part) -> str | None:
        """Why this part waits, or None."""
        return self._reasons.get(part)

    @property
    def first_reason(self) -> str | None:
        """Why the service waits, or None."""
        return next(iter(self._reasons.values()), None)

    def begin(self, part: Part, why: str) -> None:
        """Begin the pause of a part, or go on with it."""
        why = one_line(why, most=1000)
        if not self._reasons:
            self._say(f"paused: {why}")
        elif self._reasons.get(part) != why:
            logger.info("still paused, {part}: {why}", part=part, why=why)
        self._reasons[part] = why

    def end(self, part: Part) -> None:
        """End the pause of a part."""
        if self._reasons.pop(part, None) is not None and not self._reasons:
            self._say("going on")


@dataclass(frozen=True, kw_only=True)
class _Condition:
    """How a folder is: whether it may be written to, and the room on its disk."""

    is_writable: bool
    free_bytes: int

    def is_better_than(self, other: "_Condition", *, for_want_of_room: bool) -> bool:
        more = self.free_bytes - other.free_bytes
        has_more = for_want_of_room and more >= _MORE_ROOM_BYTES
        return has_more or (self.is_writable and not other.is_writable)


class Patience:
    """When to try again: soon after a folder can be seen to have got better, else ever more seldom, up to each minute.

    Args:
        folders: that have to do with it.
    """

    def __init__(self, folders: Iterable[Path]) -> None:
        self._folders = tuple(folders)
        self._before: tuple[_Condition, ...] = ()
        self._for_want_of_room = False
        self._try_s = 0.0
        self._anyway_at = self._look_at = 0.0

    def begin(self, *, for_want_of_room: bool) -> None:
        """Note that a try has failed."""
        self._for_want_of_room = for_want_of_room
        self._try_s = min(2 * self._try_s, _LONGEST_TRY_S) if self._try_s else _FIRST_TRY_S
        self._before = tuple(map(_condition, self._folders))
        self._look_at, self._anyway_at = time.monotonic() + SOONEST_S, time.monotonic() + self._try_s

    def end(self) -> None:
        """Note that a try went well."""
        self._try_s = 0.0

    def is_time(self) -> bool:
        """Whether to try now. False, whatever has changed, when it was asked less than `SOONEST_S` ago."""
        now = time.monotonic()
        if now < self._look_at:
            return False
        self._look_at = now + SOONEST_S
        conditions = map(_condition, self._folders)
        return now >= self._anyway_at or any(
            after.is_better_than(before, for_want_of_room=self._for_want_of_room)
            for after, before in zip(conditions, self._before, strict=True)
        )

    def next_in(self) -> float:
        """Seconds until it is worth asking again."""
        return max(0.0, self._look_at - time.monotonic())


def _condition(folder: Path) -> _Condition:
    try:
        return _Condition(is_writable=os.access(folder, os.W_OK), free_bytes=shutil.disk_usage(folder).free)
    except OSError:
        return _Condition(is_writable=False, free_bytes=0)
