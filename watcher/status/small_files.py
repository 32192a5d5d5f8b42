"""Cache what small files say; a file is read again only when it has changed."""

import stat
from collections.abc import Callable
from pathlib import Path
from typing import Generic, TypeVar

_Said = TypeVar("_Said")
_Known = tuple[int, int, int, int]

LARGEST = 1024 * 1024  # bytes; every note and ticket of ours is a small part of it


class Remembered(Generic[_Said]):
    """Reads files through `read` and keeps the answers from one overview to the next.

    Args:
        read: reads one file; called for ordinary files of a bounded size only, never through a link.
    """

    def __init__(self, read: Callable[[Path], _Said]) -> None:
        self._read = read
        self._before: dict[Path, tuple[_Known, _Said]] = {}
        self._now: dict[Path, tuple[_Known, _Said]] = {}

    def begin(self) -> None:
        """Begin an overview; what the one before did not ask for is forgotten."""
        self._before, self._now = self._now, {}

    def of(self, file: Path) -> _Said | None:
        """What the file says; None where there is no ordinary file of a bounded size."""
        try:
            status = file.lstat()
        except (OSError, ValueError):
            return None
        if not stat.S_ISREG(status.st_mode) or status.st_size > LARGEST:
            return None
        identity = (status.st_ino, status.st_size, status.st_mtime_ns, status.st_ctime_ns)
        known = self._now.get(file) or self._before.get(file)
        said = known[1] if known is not None and known[0] == identity else self._read(file)
        self._now[file] = identity, said
        return said
