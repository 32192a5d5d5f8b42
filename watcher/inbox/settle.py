"""Which files have rested and are whole, by our own steady clock."""

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from loguru import logger

from watcher.inbox.complete import Completeness, has_end_of_its_own, how_complete
from watcher.inbox.scan import Identity, SeenFile
from watcher.records.plain_text import one_line

_HAS_CHANGE_TIME = os.name == "posix"
_SECOND_NS = 1_000_000_000
MOVED_S = 0.25  # that a file rests which was moved in: files are moved one after the other, some way apart
_COARSEST_S = 2.0  # of the dates that file systems keep (FAT)


@dataclass(frozen=True, kw_only=True)
class Rested:
    """What one look says about resting.

    Attributes:
        ready: rested and whole: may be taken.
        moving: not rested, or not all there yet.
        stuck_since: of those not all there, how long each has not changed, s.
    """

    ready: tuple[SeenFile, ...] = ()
    moving: tuple[SeenFile, ...] = ()
    stuck_since: Mapping[Path, float] = field(default_factory=dict)


@dataclass
class _Watched:
    """One path between looks: the identity it has, since when, how long it must rest, and what was found then."""

    identity: Identity
    since: float
    rest_s: float
    rested: bool = False
    found: Completeness | None = None


class Settling:
    """Remembers from look to look how long each file has been the same.

    An old date on a file proves nothing (copying tools set old ones), so rest is what two looks at least `quiet` apart
    agree on. A file that was moved in rests but a moment: at its first look it is whole as its format says, and the
    last thing done to it was not writing. In that moment what was moved in with it, a job ticket say, is seen too.

    Args:
        quiet_s: how long a file must rest; 0: ready at its first look when whole.
        ask: tells whether a file is whole; asked once for each identity, after it has rested.
        has_end: tells whether a file is of a format whose end can be seen: only such a file rests but a moment.
    """

    def __init__(
        self,
        quiet_s: float,
        ask: Callable[[Path], Completeness] = how_complete,
        has_end: Callable[[Path], bool] = has_end_of_its_own,
    ) -> None:
        self._quiet_s = quiet_s
        self._ask = ask
        self._has_end = has_end
        self._watched: dict[Path, _Watched] = {}

    def look(self, files: Iterable[SeenFile], now: float, wall_now: float | None = None) -> Rested:
        """Take in one scan and say what may be taken.

        Args:
            files: all that the scan showed; paths that are gone are forgotten.
            now: steady clock, s.
            wall_now: time of day, s; when given, a file last touched `quiet` before it counts as rested at its
                first look (for `once`, which looks but one time).
        """
        seen = list(files)
        new = {file.path for file in seen} - self._watched.keys()
        self._watched = {file.path: self._remembered(file, now) for file in seen}
        ready: list[SeenFile] = []
        moving: list[SeenFile] = []
        stuck: dict[Path, float] = {}
        for file in seen:
            watched = self._watched[file.path]
            if file.path in new and self._came_whole(file.path, watched):
                watched.rest_s = min(self._quiet_s, MOVED_S)
            watched.rested = watched.rested or self._has_rested(watched, now, wall_now)
            if watched.rested and self._is_whole(file.path, watched):
                ready.append(file)
                continue
            moving.append(file)
            if watched.rested:
                stuck[file.path] = now - watched.since
        return Rested(ready=tuple(ready), moving=tuple(moving), stuck_since=stuck)

    def next_look_in(self, now: float) -> float | None:
        """Seconds until a file that is resting now could be ready; None when none is."""
        ends = [watched.since + watched.rest_s for watched in self._watched.values() if not watched.rested]
        return max(0.0, min(ends) - now) if ends else None

    def _remembered(self, file: SeenFile, now: float) -> _Watched:
        known = self._watched.get(file.path)
        return known if known and known.identity == file.identity else _Watched(file.identity, now, self._quiet_s)

    def _has_rested(self, watched: _Watched, now: float, wall_now: float | None) -> bool:
        if now - watched.since >= watched.rest_s:
            return True
        if wall_now is None:
            return False
        # The change time is when a name or content last changed here; where a system keeps the time of making in its
        # place, the content's time is the later one.
        touched = max(watched.identity.ctime_ns, watched.identity.mtime_ns) / 1e9
        return wall_now - touched >= watched.rest_s

    def _came_whole(self, path: Path, watched: _Watched) -> bool:
        """Whether it was moved in, all of it; what is not all there yet must rest, and is asked again then."""
        if not (_was_moved(watched.identity, self._quiet_s) and self._has_end(path)):
            return False
        if self._is_whole(path, watched):
            return True
        watched.found = None
        return False

    def _is_whole(self, path: Path, watched: _Watched) -> bool:
        if watched.found is None:
            try:
                watched.found = self._ask(path)
            except OSError as error:  # gone, or not readable at this moment: the next look asks again
                logger.debug("{} could not be read yet: {}", one_line(path.name), one_line(str(error)))
                return False
        return watched.found is Completeness.WHOLE


def _was_moved(identity: Identity, quiet_s: float) -> bool:
    """Whether a file was renamed, or given its date, after it was last written to.

    Writing sets both times to the same instant; renaming sets the change time alone (POSIX, rename and write). Both are
    read off the same clock, that of the disk. Dates in whole seconds are too coarse to tell, unless they lie far apart.
    Windows keeps the time of making in the place of the change time, which proves nothing: there all files rest.
    """
    if not _HAS_CHANGE_TIME:
        return False
    later_ns = identity.ctime_ns - identity.mtime_ns
    is_coarse = identity.mtime_ns % _SECOND_NS == 0
    return later_ns >= max(quiet_s, _COARSEST_S) * _SECOND_NS if is_coarse else later_ns > 0
