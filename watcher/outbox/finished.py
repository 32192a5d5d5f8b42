"""Run the shop's own command after an order (`on_finished`): an argument list, never a shell, with a time limit."""

import contextlib
import os
import re
import signal
import subprocess
import sys
import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from loguru import logger

from watcher.archive.ticket_file import PrintFile
from watcher.records.plain_text import one_line
from watcher.terms import Placeholder

LIMIT_S = 60.0
HURRY_S = 4.0  # of all together when the service is asked to stop: it stops within 5 s after the order in hand
MOST_AT_ONCE = 4

Facts = Mapping[Placeholder, str]
_IN_BRACES = re.compile("|".join(re.escape(word.written) for word in Placeholder))


@dataclass(frozen=True, kw_only=True)
class Delivered:
    """What the command can be told of an order or a run.

    Attributes:
        folder: its folder in the outbox.
        ticket: its ticket, or that of the first order of a run.
        files: how each of its files of sheets is printed.
    """

    folder: Path
    ticket: Path
    files: Sequence[PrintFile]

    def facts(self, file: PrintFile) -> Facts:
        """The value of each placeholder, for a call that tells of one of its files."""
        return {
            Placeholder.SHEETS: str(self.folder / file.file),
            Placeholder.COPIES: str(file.copies),
            Placeholder.SIDES: file.sides,
            Placeholder.MEDIA: file.media,
            Placeholder.ORDER: self.folder.name,
            Placeholder.TICKET: str(self.ticket),
        }


def calls_for(command: Sequence[str], delivered: Delivered) -> list[list[str]]:
    """The words of each call: one for each file where the command asks for what is a file's own, else one for all.

    Files that have been collected already are not told of where the command asks for them.
    """
    asked = {word for word in Placeholder for part in command if word.written in part}
    files = [
        file for file in delivered.files if Placeholder.SHEETS not in asked or (delivered.folder / file.file).is_file()
    ]
    if not any(word.is_of_a_file for word in asked):
        files = files[:1]
    return [[_filled(part, delivered.facts(file)) for part in command] for file in files]


def _filled(part: str, facts: Facts) -> str:
    """A word with what stands for its placeholders; what was put in is never looked through again."""
    return _IN_BRACES.sub(lambda found: facts[Placeholder(found[0][1:-1])], part)


@dataclass(kw_only=True)
class _Order:
    """The calls for one order, one after the other: backs are printed when fronts have been."""

    name: str
    calls: deque[list[str]]
    on_end: Callable[[], None]


@dataclass(kw_only=True)
class _Running:
    """A call under way."""

    order: _Order
    process: subprocess.Popen[bytes]
    deadline: float


@dataclass
class FinishedCommands:
    """Starts the command for each delivered order and supervises those that run; a failure is only logged.

    A few run at once, the others wait their turn: hundreds of orders that come together must not start hundreds.
    """

    _running: list[_Running] = field(default_factory=list)
    _waiting: deque[_Order] = field(default_factory=deque)

    @property
    def under_way(self) -> bool:
        """Whether a command has not ended yet."""
        return bool(self._running)

    def start(self, calls: Sequence[Sequence[str]], order: str, on_end: Callable[[], None] = lambda: None) -> None:
        """Start the command.

        Args:
            calls: the words of each call; they are made one after the other, up to the first that fails.
            order: its name, for people.
            on_end: called once all calls have ended, well or not; never when the service stops before.
        """
        self._waiting.append(_Order(name=order, calls=deque(list(words) for words in calls), on_end=on_end))
        self._start_waiting()

    def poll(self) -> None:
        """Reap commands that have ended, stop those that take too long, start those that wait."""
        running, self._running = self._running, []
        for one in running:
            code = one.process.poll()
            if code is None and time.monotonic() < one.deadline:
                self._running.append(one)
            elif code is None:
                _end(one.process)
                self._give_up(one.order, f"took longer than {LIMIT_S:.0f} s and was ended")
            elif code:
                self._give_up(one.order, f"ended with code {code}")
            else:
                self._call_next(one.order)
        self._start_waiting()

    def finish(self, most_s: float) -> None:
        """Wait at most so long for all commands that run or wait; then stop them.

        Args:
            most_s: seconds; `LIMIT_S` where nothing else is to be done, `HURRY_S` for a service that is to stop.
        """
        last = time.monotonic() + most_s
        while self._running and time.monotonic() < last:
            first = self._running[0]
            with contextlib.suppress(subprocess.TimeoutExpired):
                first.process.wait(max(0.0, min(first.deadline, last) - time.monotonic()))
            self.poll()
        for one in self._running:
            _end(one.process)
            _say(one.order.name, "had not come to its end when the program stopped, and was ended; it is called again")
        for order in self._waiting:
            _say(order.name, "was not started: the program stops; it is called when it starts again")
        self._running.clear()
        self._waiting.clear()

    def _start_waiting(self) -> None:
        while self._waiting and len(self._running) < MOST_AT_ONCE:
            self._call_next(self._waiting.popleft())

    def _call_next(self, order: _Order) -> None:
        """Make the next call for an order; it has come to its end where there is none."""
        if not order.calls:
            order.on_end()
            return
        try:
            # its words are for nobody: neither among our lines nor, without end, in a pipe that must be emptied
            process = subprocess.Popen(
                order.calls.popleft(),
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                start_new_session=True,
            )
        except (OSError, ValueError) as error:
            self._give_up(order, f"could not be started: {error}")
            return
        self._running.append(_Running(order=order, process=process, deadline=time.monotonic() + LIMIT_S))

    def _give_up(self, order: _Order, what: str) -> None:
        """A call that failed: fronts that were not printed need no backs."""
        left = len(order.calls)
        _say(order.name, what + (f"; {left} more of its files were not handed on" if left else ""))
        order.on_end()


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a command with everything it has started: it runs in a session, and so a group, of its own."""
    if sys.platform != "win32":
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
    else:  # pragma: no cover - not tested here
        process.kill()
    process.wait()


def _say(order: str, what: str) -> None:
    logger.warning("on_finished for {order} {what}", order=one_line(order), what=one_line(what))
