"""Decide which files have stopped changing and are complete, by a monotonic clock."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from watcher.inbox.complete import Completeness, has_end_of_its_own, how_complete
from watcher.inbox.scan import Identity, SeenFile

WHOLE_S = 0.25  # that a file rests which is whole when it is first seen: files come one after the other, some way apart


@dataclass(frozen=True, kw_only=True)
class Rested:
    """Which files of a scan have stopped changing.

    Attributes:
        ready: rested and whole: may be taken.
        moving: not rested, or not all there yet.
        stuck_since: of those not all there, how long each has not changed, s.
    """

    ready: tuple[SeenFile, ...] = ()
    moving: tuple[SeenFile, ...] = ()
    stuck_since: Mapping[Path, float] = field(default_factory=dict)


@dataclass(slots=True)
class _Watched:
    """One path between looks: the identity it has, since when, how long it must rest, and what was found then."""

    identity: Identity
    since: float
    rest_s: float
    rested: bool = False
    found: Completeness | None = None


class Settling:
    """Remembers from scan to scan how long each file has been the same.

    An old date on a file proves nothing (copying tools set old ones), so rest is what two looks at least `quiet` apart
    agree on. A file that nobody has seen growing rests but a moment: at its first look it is whole as its format says,
    as what a program moved in is. In that moment what came with it, a job ticket say, is seen too.

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

    def update(self, files: Iterable[SeenFile], now: float, wall_now: float | None = None) -> Rested:
        """Take in a scan and return which files may be taken.

        Args:
            files: all that the scan showed; paths that are gone are forgotten.
            now: steady clock, s.
            wall_now: time of day, s; when given, a file last touched `quiet` before it counts as rested at its
                first look, and one that is not all there has been so since then (for `once`, which looks but one time).
        """
        seen = list(files)
        new = {file.path for file in seen if not self._is_known(file)}
        self._watched = {file.path: self._remembered(file, now) for file in seen}
        ready: list[SeenFile] = []
        moving: list[SeenFile] = []
        stuck: dict[Path, float] = {}
        for file in seen:
            watched = self._watched[file.path]
            if file.path in new and self._came_whole(file.path, watched):
                watched.rest_s = min(self._quiet_s, WHOLE_S)
            watched.rested = watched.rested or self._has_rested(watched, now, wall_now)
            if watched.rested and self._is_whole(file.path, watched):
                ready.append(file)
                continue
            moving.append(file)
            if watched.rested:
                stuck[file.path] = max(now - watched.since, _since_touched(watched, wall_now))
        return Rested(ready=tuple(ready), moving=tuple(moving), stuck_since=stuck)

    def next_look_in(self, now: float) -> float | None:
        """Seconds until a file that is resting now could be ready; None when none is."""
        ends = [watched.since + watched.rest_s for watched in self._watched.values() if not watched.rested]
        return max(0.0, min(ends) - now) if ends else None

    def _is_known(self, file: SeenFile) -> bool:
        """Whether this file was there at the last look, however much of it; another one under its name is new."""
        known = self._watched.get(file.path)
        return known is not None and known.identity.inode == file.identity.inode

    def _remembered(self, file: SeenFile, now: float) -> _Watched:
        known = self._watched.get(file.path)
        return known if known and known.identity == file.identity else _Watched(file.identity, now, self._quiet_s)

    def _has_rested(self, watched: _Watched, now: float, wall_now: float | None) -> bool:
        if now - watched.since >= watched.rest_s:
            return True
        return wall_now is not None and _since_touched(watched, wall_now) >= watched.rest_s

    def _came_whole(self, path: Path, watched: _Watched) -> bool:
        """Whether all of it is there at its first look; if not yet it must rest, and is asked again then."""
        if not self._has_end(path):
            return False
        if self._is_whole(path, watched):
            return True
        watched.found = None
        return False

    def _is_whole(self, path: Path, watched: _Watched) -> bool:
        if watched.found is None:
            try:
                watched.found = self._ask(path)
            except OSError:  # gone, or not readable at this moment: the next look asks again
                return False
        return watched.found is Completeness.WHOLE


def _since_touched(watched: _Watched, wall_now: float | None) -> float:
    """How long ago a file was last changed by the clock on the wall, s; 0 when that is not asked for.

    The change time is when a name or content last changed here; where a system keeps the time of making in its place,
    the content's time is the later one.
    """
    if wall_now is None:
        return 0.0
    return wall_now - max(watched.identity.ctime_ns, watched.identity.mtime_ns) / 1e9
