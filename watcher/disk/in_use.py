"""Try an action again for a few seconds, while another program has its file open.

Windows neither moves nor removes a file that a virus scanner, a sync program or a viewer has open, nor a folder with
such a file in it; most let go of it within a second. What is in the way for longer is for the person to end.
"""

import errno
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

LONGEST_WAIT_S = 3.0  # for one file, all tries together: a service that is to stop must do so within five
_FIRST_PAUSE_S, _LONGEST_PAUSE_S = 0.02, 0.5  # between two tries; each is twice as long as the one before
_REMEMBERED_S = 120.0  # twice the longest time between two tries of a service that is paused
_MOST_IN_VAIN = 2  # files of one folder that are waited for: of a folder without rights all files are in the way

_Given = TypeVar("_Given")


class FileInUse(PermissionError):
    """A file or folder that could not be moved, linked or removed for seconds: another program has it open."""


class Waiting:
    """Waits until files are free. One that was waited for in vain is not waited for again before it was free once.

    So whoever calls again and again, as a paused service does, waits once and not each time.

    Args:
        clock: the steady clock, s.
        sleep: lets seconds pass.
    """

    def __init__(
        self, clock: Callable[[], float] = time.monotonic, sleep: Callable[[float], None] = time.sleep
    ) -> None:
        self._clock, self._sleep = clock, sleep
        self._in_vain: dict[Path, float] = {}  # and when that was

    def until_free(self, path: Path, do: Callable[[], _Given]) -> _Given:
        """Do something with a file; again and again for `LONGEST_WAIT_S` while a PermissionError comes of it.

        Args:
            path: the file or folder, as people know it.
            do: what is done; it must be harmless to do it again when it has failed.

        Raises:
            FileInUse: it has failed to the end.
            OSError: anything else that `do` raises, at once.
        """
        try:
            given = do()
        except PermissionError as error:
            given = self._again(path, do, error)
        self._in_vain.pop(path, None)
        return given

    def _again(self, path: Path, do: Callable[[], _Given], error: PermissionError) -> _Given:
        begun = self._clock()
        end = begun + (LONGEST_WAIT_S if self._is_worth_waiting(path, begun) else 0.0)
        pause_s = _FIRST_PAUSE_S
        while (now := self._clock()) < end:
            self._sleep(min(pause_s, end - now))
            pause_s = min(2 * pause_s, _LONGEST_PAUSE_S)
            try:
                return do()
            except PermissionError as again:
                error = again
        self._in_vain[path] = self._clock()
        raise _in_use(error, path) from error

    def _is_worth_waiting(self, path: Path, now: float) -> bool:
        self._in_vain = {one: at for one, at in self._in_vain.items() if now - at < _REMEMBERED_S}
        in_folder = sum(one.parent == path.parent for one in self._in_vain)
        return path not in self._in_vain and in_folder < _MOST_IN_VAIN


def _in_use(error: PermissionError, path: Path) -> FileInUse:
    """The same error, with the names that it tells, or `path` where it tells none."""
    code = errno.EACCES if error.errno is None else error.errno
    return FileInUse(code, error.strerror or str(error), error.filename or str(path), None, error.filename2)


waiting = Waiting()  # of this process; a test puts one with a clock of its own in its place


def until_free(path: Path, do: Callable[[], _Given]) -> _Given:
    """Do something with a file, and wait a few seconds for it where another program has it open.

    Raises:
        FileInUse: it has failed to the end.
        OSError: anything else that `do` raises, at once.
    """
    return waiting.until_free(path, do)
