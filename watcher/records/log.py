"""Two logs: `outbox/log.txt` for people, one plain line an event, and `state/service.log` for whoever mends things."""

import os
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from loguru import logger

from watcher.records.plain_text import one_line


class EventLog:
    """Appends plain lines to `log.txt`, newest last, each written whole and flushed to disk."""

    def __init__(self, file: Path, now: Callable[[], datetime]) -> None:
        self._file, self._now = file, now
        self.written: list[str] = []

    def add(self, event: str) -> None:
        """Write one line; names in it are made safe. A log that cannot be written never harms an order."""
        self.written = [*self.written[-999:], one_line(event, most=2000)]
        line = f"{self._now():%Y-%m-%d %H:%M:%S}  {one_line(event, most=2000)}\n"
        logger.info("{event}", event=one_line(event, most=2000))
        try:
            handle = os.open(self._file, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o666)
            try:
                os.write(handle, line.encode("utf-8"))
                os.fsync(handle)
            finally:
                os.close(handle)
        except OSError as error:
            logger.warning("log.txt could not be written: {error}", error=one_line(str(error)))


def set_up_service_log(state: Path, *, to_screen: bool) -> None:
    """Send the program's own log to `state/service.log` as JSON lines, and, when asked, plainly to standard error.

    JSON because one record is then one line whatever a name contains. `diagnose` is off: it would write the contents
    of variables. Rotation touches only this folder's `service.*` files.
    """
    logger.remove()
    logger.add(
        state / "service.log",
        serialize=True,
        rotation="5 MB",
        retention=5,
        diagnose=False,
        backtrace=False,
        level="INFO",
    )
    if to_screen:
        logger.add(sys.stderr, format="{time:HH:mm:ss}  {message}", diagnose=False, backtrace=False, level="INFO")
