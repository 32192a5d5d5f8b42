"""The shop's own command after an order (`on_finished`): an argument list, never a shell, with a time limit."""

import contextlib
import os
import signal
import subprocess
import time
from collections import deque
from collections.abc import Sequence
from pathlib import Path

from loguru import logger

from watcher.records.plain_text import one_line

LIMIT_S = 60.0
HURRY_S = 4.0  # of all together when the service is asked to stop: it stops within 5 s after the order in hand
MOST_AT_ONCE = 4
SHEETS = "{sheets}"


class FinishedCommands:
    """Starts the command for each delivered order and looks after those under way; a failure is logged, no more.

    A few run at once, the others wait their turn: hundreds of orders that come together must not start hundreds.
    """

    def __init__(self) -> None:
        self._running: list[tuple[subprocess.Popen[bytes], float, str]] = []
        self._waiting: deque[tuple[list[str], str]] = deque()

    @property
    def under_way(self) -> bool:
        """Whether a command has not ended yet."""
        return bool(self._running)

    def start(self, command: Sequence[str], sheets: Sequence[Path], order: str) -> None:
        """Start the command; `{sheets}` becomes one argument for each sheet file."""
        if not command:
            return
        self._waiting.append(
            ([str(word) for part in command for word in (sheets if part == SHEETS else [part])], order)
        )
        self._start_waiting()

    def _start_waiting(self) -> None:
        while self._waiting and len(self._running) < MOST_AT_ONCE:
            words, order = self._waiting.popleft()
            try:
                # its words are for nobody: neither among our lines nor, without end, in a pipe that must be emptied
                process = subprocess.Popen(
                    words,
                    stdin=subprocess.DEVNULL,
                    stdout=subprocess.DEVNULL,
                    stderr=subprocess.DEVNULL,
                    start_new_session=True,
                )
            except (OSError, ValueError) as error:
                _say(order, f"could not be started: {error}")
                continue
            self._running.append((process, time.monotonic() + LIMIT_S, order))

    def look(self) -> None:
        """Reap what has ended, end what takes too long, start what waits."""
        still = []
        for process, deadline, order in self._running:
            code = process.poll()
            if code is None and time.monotonic() < deadline:
                still.append((process, deadline, order))
            elif code is None:
                _end(process)
                _say(order, f"took longer than {LIMIT_S:.0f} s and was ended")
            elif code:
                _say(order, f"ended with code {code}")
        self._running = still
        self._start_waiting()

    def finish(self, most_s: float) -> None:
        """Wait so long for what is under way or waits, all together; then end it.

        Args:
            most_s: seconds; `LIMIT_S` where nothing else is to be done, `HURRY_S` for a service that is to stop.
        """
        last = time.monotonic() + most_s
        while self._running and time.monotonic() < last:
            process, deadline, _ = self._running[0]
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(max(0.0, min(deadline, last) - time.monotonic()))
            self.look()
        for process, _, order in self._running:
            _end(process)
            _say(order, "had not come to its end when the service stopped, and was ended")
        for _, order in self._waiting:
            _say(order, "was not started: the service stops")
        self._running.clear()
        self._waiting.clear()


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a command with everything it has started: it runs in a session, and so a group, of its own."""
    if os.name == "posix":
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
    else:  # pragma: no cover - not tested here
        process.kill()
    process.wait()


def _say(order: str, what: str) -> None:
    logger.warning("on_finished for {order} {what}", order=one_line(order), what=one_line(what))
