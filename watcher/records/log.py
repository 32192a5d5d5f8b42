"""The two logs: `outbox/log.txt` for the shop owner, a line an event, and `state/service.log` for debugging."""

import errno
import os
import re
import shutil
import sys
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from loguru import logger

from watcher.disk import remove_file
from watcher.records.plain_text import one_line

if TYPE_CHECKING:
    from loguru import Record

_KEPT = 5
_ROOM_BYTES = 64 * 1024
_REMEMBERED = 1000  # lines: of this run, and of those that could not be written yet
_LONGEST = 4000  # signs of a message
_LOOKED_AT_BYTES = 1 << 20  # of the log, to see whether it has said something lately
_SET_ASIDE = re.compile(r"service\.\d{4}-\d{2}-\d{2}_\d{2}-\d{2}-\d{2}_\d{6}(\.\d+)?\.log")


class EventLog:
    """The log for the shop owner: plain lines in `log.txt`, newest last, each written atomically and flushed to disk.

    A line that cannot be written now is written later, with the time at which it was said.

    Args:
        file: where it lies.
        now: gives the local time.
        may_write: whether the folder is there; below a drive that is gone no file is begun.
        public: takes out of a line what only the owner should read.
    """

    def __init__(
        self,
        file: Path,
        now: Callable[[], datetime],
        may_write: Callable[[], bool] = lambda: True,
        public: Callable[[str], str] = str,
    ) -> None:
        self._file, self._now, self._may_write, self._public = file, now, may_write, public
        self._unwritten: deque[bytes] = deque(maxlen=_REMEMBERED)
        self._told = False
        self.written: list[str] = []

    def add(self, event: str) -> None:
        """Append one event. Unprintable characters are escaped; a line that cannot be written raises nothing."""
        event = one_line(self._public(event), most=2000)
        self.written = [*self.written[1 - _REMEMBERED :], event]
        logger.info("{event}", event=event)
        self._unwritten.append(f"{self._now():%Y-%m-%d %H:%M:%S}  {event}\n".encode())
        self.catch_up()

    @property
    def is_written(self) -> bool:
        """Whether every line is on the disk."""
        return not self._unwritten

    def has_said(self, begin: str, since: str) -> bool:
        """Whether the log has a line that begins so, of that time or later.

        Args:
            begin: how the event begins.
            since: ISO 8601.
        """
        stamp, begin = since[:19].replace("T", " "), one_line(self._public(begin), most=2000)
        return any(line[:19] >= stamp and line[21:].startswith(begin) for line in _last_lines(self._file))

    def catch_up(self) -> None:
        """Try again to write the lines that could not be written before."""
        try:
            while self._unwritten and self._may_write():
                _append(self._file, self._unwritten[0])
                self._unwritten.popleft()
                self._told = False
        except OSError as error:
            if not self._told:
                logger.warning("log.txt cannot be written: {error}", error=one_line(str(error)))
            self._told = True


def _append(file: Path, line: bytes) -> None:
    """Append a line, all of it or nothing. A last line that a power cut left without its end is ended first.

    Others may write to the outbox: a link in the place of the log is removed.
    """
    if file.is_symlink():
        remove_file(file)
    no_links = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    handle = os.open(file, os.O_RDWR | os.O_APPEND | os.O_CREAT | no_links, 0o666)
    try:
        size = os.fstat(handle).st_size
        if size and _last_byte(handle, size) != b"\n":
            line = b"\n" + line
        try:
            if os.write(handle, line) < len(line):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(file))
            os.fsync(handle)
        except OSError:
            os.ftruncate(handle, size)
            raise
    finally:
        os.close(handle)


def _last_lines(file: Path) -> list[str]:
    """The last lines of a log file; empty where it cannot be read."""
    try:
        with file.open("rb") as stream:
            stream.seek(max(0, stream.seek(0, os.SEEK_END) - _LOOKED_AT_BYTES))
            return stream.read().decode("utf-8", "replace").splitlines()
    except OSError:
        return []


def _last_byte(handle: int, size: int) -> bytes:
    os.lseek(handle, size - 1, os.SEEK_SET)
    return os.read(handle, 1)


def set_up_service_log(state: Path, *, to_screen: bool) -> None:
    """Send the program's own log to `state/service.log` as JSON lines, and, when asked, plainly to standard error.

    JSON because one record is then one line whatever a name contains. `diagnose` is off: it would write the contents
    of variables. How an error came about is told in the file alone. While its disk is full nothing is written to it:
    half records would be left, and the library would tell of each failure in many lines on standard error.
    """
    with suppress(OSError):  # the end of the one before, if its disk is full or gone
        logger.remove()
    logger.configure(patcher=_make_safe)
    logger.add(
        state / "service.log",
        serialize=True,
        rotation="5 MB",
        retention=_forget_old,
        diagnose=False,
        backtrace=False,
        level="INFO",
        filter=lambda _record: _has_room(state),
        errors="backslashreplace",  # else a record with a name that is no UTF-8 would be lost
    )
    if to_screen:
        logger.add(sys.stderr, format=_on_screen, diagnose=False, backtrace=False, level="INFO")


def _has_room(folder: Path) -> bool:
    try:
        return shutil.disk_usage(folder).free >= _ROOM_BYTES
    except OSError:
        return False


def _make_safe(record: "Record") -> None:
    """Escape unprintable characters in a message, in case its caller has not."""
    record["message"] = one_line(record["message"], most=_LONGEST)


def _forget_old(files: list[str]) -> None:
    """Delete all but the newest rotated logs.

    Only names that rotation gives are touched: the library's own retention would also delete a `service.notes.log` that
    somebody left there.
    """
    ours = sorted(file for file in files if _SET_ASIDE.fullmatch(Path(file).name))
    for file in ours[:-_KEPT]:
        remove_file(Path(file), missing_ok=True)


def _on_screen(_record: "Record") -> str:
    """The format of a line on the screen; a function, because the library adds the traceback to a format string."""
    return "{time:HH:mm:ss}  {message}\n"
