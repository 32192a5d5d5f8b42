"""One instance per print folder: a lock on `state/lock` that the system lets go of when the process ends."""

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import IO

from watcher.errors import AlreadyRunning

FILE_NAME = "lock"


def take_lock(state: Path) -> IO[str]:
    """Hold the lock for as long as the returned file stays open.

    Raises:
        AlreadyRunning: another process holds it.
    """
    stream = (state / FILE_NAME).open("a+")
    try:
        _lock(stream)
    except OSError as error:
        stream.close()
        raise AlreadyRunning(
            f"Another print-folder is at work on {state.parent}. Stop it first, or let it do the work."
        ) from error
    with suppress(OSError):  # who holds it is told to people only; a full disk has no room for it
        os.ftruncate(stream.fileno(), 0)
        os.write(stream.fileno(), b"%d\n" % os.getpid())
    return stream


def is_locked(state: Path) -> bool:
    """Whether a service is at work on this print folder now."""
    if not (state / FILE_NAME).exists():
        return False
    with (state / FILE_NAME).open("a+") as stream:
        try:
            _lock(stream)
        except OSError:
            return True
    return False


def _lock(stream: IO[str]) -> None:
    if sys.platform == "win32":  # pragma: no cover - not tested here
        import msvcrt

        stream.seek(0)
        msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
