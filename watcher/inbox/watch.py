"""The operating system's file events as a hint to look sooner, never as the truth.

Events get lost (a full queue, a network share, a folder mounted over), so nothing is read from them: any of them says
"look now", and the rescan finds what lies there. The service is correct without this file.
"""

import errno
import logging
import os
import sys
from collections.abc import Callable
from pathlib import Path

from loguru import logger
from watchdog.events import (
    DirCreatedEvent,
    DirMovedEvent,
    FileClosedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    FileModifiedEvent,
    FileMovedEvent,
    FileSystemEvent,
    FileSystemEventHandler,
)
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver

from watcher.records.plain_text import one_line

_FIRST_RETRY_S, _LONGEST_RETRY_S = 1.0, 60.0
_STOP_WAIT_S = 5.0
_NO_HINTS = "this computer does not tell of new files: {why}. The inbox is looked at every few seconds instead"

# Never "opened" or "closed without writing": our own reading makes those, and would wake us for ever.
_WANTED: list[type[FileSystemEvent]] = [
    FileClosedEvent,
    FileMovedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    DirCreatedEvent,
    DirMovedEvent,  # a held order renamed `ORDER ok` inside the inbox
]
if sys.platform != "linux":  # elsewhere no event tells that a file was closed
    _WANTED.append(FileModifiedEvent)


class InboxWatch:
    """Calls `on_hint` when something may have changed in the inbox, and notices when it can no longer tell.

    The inbox is watched with all folders in it: cards' folders and returned orders lie one level down, may come at any
    time, and a watch that follows by itself needs no bookkeeping here. What it misses there, the rescan finds.

    Args:
        inbox: the folder; a link to it is followed, and it may be missing for a while.
        on_hint: called on a foreign thread, often many times in a row; should only set a flag.
        say: tells people that the system gives no hints, and when it does again.
    """

    def __init__(
        self, inbox: Path, on_hint: Callable[[], None], say: Callable[[str], None] = lambda _words: None
    ) -> None:
        self._inbox, self._say = inbox, say
        self._hint = _Hint(on_hint)
        self._log = _LibraryLog(self._hint)
        self._observer: BaseObserver | None = None
        self._root: tuple[int, int] | None = None
        self._retry_at = 0.0
        self._retry_s = _FIRST_RETRY_S
        self._told = False

    def start(self) -> None:
        """Begin to watch. A missing or unreadable inbox is no error: `check` tries again."""
        logging.getLogger("watchdog").addHandler(self._log)
        self._begin()

    def stop(self) -> None:
        """End to watch; no thread is left over."""
        self._end()
        logging.getLogger("watchdog").removeHandler(self._log)

    def check(self, now: float) -> bool:
        """Say whether hints can be trusted to come; when not, try to watch anew, ever more seldom up to each minute.

        Args:
            now: steady clock, s.
        """
        if self._is_sound():
            self._retry_s, self._retry_at = _FIRST_RETRY_S, 0.0
            return True
        if now < self._retry_at:
            return False
        self._end()
        if self._begin():
            self._hint()  # what came while nobody watched
            return True
        self._retry_at, self._retry_s = now + self._retry_s, min(2 * self._retry_s, _LONGEST_RETRY_S)
        return False

    def _is_sound(self) -> bool:
        """Whether the threads live and the inbox is still the folder they watch (not renamed, not mounted over)."""
        observer = self._observer
        if observer is None or not observer.is_alive() or not all(one.is_alive() for one in observer.emitters):
            return False
        return bool(observer.emitters) and self._root == _identity(self._inbox)

    def _begin(self) -> bool:
        root = _identity(self._inbox)
        if root is None:
            return self._tell("is missing")
        try:
            observer = Observer()  # takes one of the system's instances
            observer.schedule(self._hint, os.path.realpath(self._inbox), recursive=True, event_filter=_WANTED)
            observer.start()
        except OSError as error:  # rights, or the system's limit of instances or watches is reached
            if not self._told:
                self._say(_NO_HINTS.format(why=_why(error)))
            return self._tell(one_line(str(error)))
        self._observer, self._root = observer, root
        if self._told:
            logger.info("The inbox {} is watched again", one_line(str(self._inbox)))
            self._say("this computer tells of new files again")
        self._told = False
        return True

    def _end(self) -> None:
        observer, self._observer, self._root = self._observer, None, None
        if observer is not None and observer.is_alive():
            observer.stop()
            observer.join(_STOP_WAIT_S)

    def _tell(self, why: str) -> bool:
        """Say once that the inbox is not watched."""
        if not self._told:
            logger.warning("The inbox {} is looked at from time to time only: {}", one_line(str(self._inbox)), why)
        self._told = True
        return False


class FolderWatch:
    """Calls `on_hint` when a folder directly in another one was made or renamed; of files it says nothing.

    Nothing hangs on it: what it misses is found when the folder is looked at again.

    Args:
        parent: the folder that is watched.
        on_hint: called on a foreign thread; should only set a flag.
    """

    def __init__(self, parent: Path, on_hint: Callable[[], None]) -> None:
        self._parent, self._hint = parent, _Hint(on_hint)
        self._observer: BaseObserver | None = None

    def start(self) -> None:
        """Begin to watch, where the system can."""
        try:
            observer = Observer()
            events: list[type[FileSystemEvent]] = [DirCreatedEvent, DirMovedEvent]
            observer.schedule(self._hint, os.path.realpath(self._parent), recursive=False, event_filter=events)
            observer.start()
        except OSError as error:
            logger.warning("{} is looked at from time to time only: {}", one_line(str(self._parent)), _why(error))
            return
        self._observer = observer

    def stop(self) -> None:
        """End to watch; no thread is left over."""
        if self._observer is not None:
            self._observer.stop()
            self._observer.join(_STOP_WAIT_S)


class _Hint(FileSystemEventHandler):
    """Turns every event into one call; an exception here would end the library's thread for good."""

    def __init__(self, on_hint: Callable[[], None]) -> None:
        self._on_hint = on_hint

    def __call__(self) -> None:
        try:
            self._on_hint()
        except Exception:
            logger.exception("The hint to look at the inbox could not be passed on")

    def dispatch(self, event: FileSystemEvent) -> None:
        self()


class _LibraryLog(logging.Handler):
    """Passes the watching library's own log on; when it says that events were lost, that is a hint too."""

    def __init__(self, hint: Callable[[], None]) -> None:
        super().__init__()
        self._hint = hint

    def emit(self, record: logging.LogRecord) -> None:
        try:
            message = record.getMessage()
            logger.log(record.levelno, "Watching the inbox: {}", one_line(message))
            if record.levelno >= logging.WARNING and "overflow" in message.lower():
                self._hint()
        except Exception:  # logging's own rule for handlers: what logs goes on
            self.handleError(record)


def _why(error: OSError) -> str:
    """Why the system gives no hints, for people; the limits are those of inotify(7)."""
    if error.errno == errno.EMFILE:
        return "other programs use up its file watches (fs.inotify.max_user_instances)"
    if error.errno == errno.ENOSPC:
        return "other programs use up its file watches (fs.inotify.max_user_watches)"
    return one_line(error.strerror or str(error))


def _identity(folder: Path) -> tuple[int, int] | None:
    """Device and inode of a folder, links followed; None when it is missing or none."""
    try:
        status = folder.stat()
    except OSError:
        return None
    return (status.st_dev, status.st_ino) if folder.is_dir() else None
