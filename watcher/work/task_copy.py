"""A copy of a worker's process (fork) that does one task, shut in, and ends; Linux.

A copy may be made before its task comes. While nothing is waiting it then goes the way of an order once: each page of
memory that it shares with the worker's process is copied when it is first written to, and an order writes to 9,000 of
them, which took a third of its time (our measurement). A copy that is asked for a task before it has come so far is
ended, and a new one does the task.
"""

import contextlib
import os
import pickle
import select
import signal
import sys
import threading
from collections.abc import Callable
from typing import Any, NoReturn

from watcher.outbox.product import drop_if_empty
from watcher.work.answer import Answer, answer_to
from watcher.work.limits import CPU_S, allow_processor_time, end_with_parent
from watcher.work.walls.places import places_of, wall_in
from watcher.work.wire import MOST_BYTES, write_answer

Work = Callable[[Any], Answer]

_REHEARSAL_S = 5.0  # of processor time
_READY = b"+"


class TaskCopy:
    """A copy of this process that waits for its task.

    Args:
        work: what does the task.
        pipe: the file number of the pipe that this process gets its own tasks by; the copy has none of it.
        rehearse: what the copy does before it waits.

    Raises:
        OSError: no copy can be made.
    """

    _process: int
    _told: int
    _said: int
    _waits: bool

    def __init__(self, work: Work, pipe: int, rehearse: Callable[[], object] = lambda: None) -> None:
        if sys.platform != "linux":
            raise NotImplementedError
        task, self._told = os.pipe()
        self._said, answer = os.pipe()
        parent = os.getpid()
        try:
            self._process = os.fork()
        except OSError:
            for end in (task, self._told, self._said, answer):
                os.close(end)
            raise
        if self._process == 0:
            for end in (self._told, self._said, pipe):
                os.close(end)
            _live(parent, task, answer, work, rehearse)
        os.close(task)
        os.close(answer)
        self._waits = False

    def is_ready(self) -> bool:
        """Whether it waits for its task; not so while it rehearses, nor when it has died."""
        if not self._waits and select.select([self._said], [], [], 0)[0]:
            self._waits = os.read(self._said, 1) == _READY
        return self._waits

    def do(self, message: object, more_s: float, how_it_ended: Callable[[int], str]) -> bytes:
        """Have it do its task, once; then it has ended.

        Args:
            message: the task.
            more_s: seconds of processor time beyond the usual that it may take.
            how_it_ended: says why it ended without an answer, by its exit code.

        Returns:
            The bytes of the answer, which are not trusted.
        """
        with contextlib.suppress(BrokenPipeError), os.fdopen(self._told, "wb") as stream:
            pickle.dump((message, more_s), stream)
        with os.fdopen(self._said, "rb") as stream:
            if not self._waits:
                stream.read(1)
            said = stream.read(MOST_BYTES)
        if said:
            _kill(self._process)  # it has nothing left to do
        _, status = os.waitpid(self._process, 0)
        _remove_empty(message)
        if said:
            return said
        code = os.waitstatus_to_exitcode(status)
        return write_answer(Answer(died=how_it_ended(code), detail=f"exit code {code}"))

    def end(self) -> None:
        """End it without a task."""
        os.close(self._told)
        os.close(self._said)
        _kill(self._process)
        os.waitpid(self._process, 0)


def _kill(process: int) -> None:
    if sys.platform != "win32":
        os.kill(process, signal.SIGKILL)


def _live(parent: int, task: int, answer: int, work: Work, rehearse: Callable[[], object]) -> NoReturn:
    """Rehearse, wait for the task, shut this process in, do it, write the answer, and end."""
    try:
        end_with_parent(parent)
        allow_processor_time(_REHEARSAL_S)
        rehearse()
        if threading.active_count() > 1:
            os._exit(1)  # the walls are for the thread that puts them up
        with os.fdopen(answer, "wb") as said:
            said.write(_READY)
            said.flush()
            with os.fdopen(task, "rb") as stream:
                message, more_s = pickle.load(stream)
            allow_processor_time(CPU_S + more_s)
            shut_in = answer_to(_shut_in, message)
            said.write(write_answer(work(message) if shut_in.result else shut_in))
    except BaseException:  # the process ends here, whatever happened: the parent sees that there is no answer
        os._exit(1)
    os._exit(0)


def _shut_in(message: object) -> bool:
    """Make what must be there before the walls are, and put them up.

    Raises:
        OSError: disk or rights.
    """
    places = places_of(message)
    for folder in places.writable:
        folder.mkdir(exist_ok=True)
    for file in places.copies:
        file.touch()
    wall_in(places)
    return True


def _remove_empty(message: object) -> None:
    """Remove the building folder of what was not made: the copy may only empty it."""
    for folder in places_of(message).writable:
        drop_if_empty(folder)
