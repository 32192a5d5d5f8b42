"""A copy of a worker's process (fork) that does one task, shut in, and ends; Linux.

A copy may be made before its task comes. While nothing is waiting it then goes the way of an order once: each page of
memory that it shares with the worker's process is copied when it is first written to, and an order writes to 9,000 of
them, which took a third of its time (our measurement). A copy that is asked for a task before it has come so far is
ended, and a new one does the task.
"""

import contextlib
import errno
import os
import pickle
import select
import signal
import struct
import sys
import threading
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any, NoReturn

from watcher.outbox.product import drop_if_empty, make_building_folder
from watcher.work.answer import Answer, answer_to
from watcher.work.frames import read_to_end, write_all
from watcher.work.limits import CPU_S, allow_processor_time, end_with_parent
from watcher.work.task_head import TaskHead
from watcher.work.walls.places import places_of, wall_in
from watcher.work.wire import MOST_ANSWER_BYTES, write_answer
from watcher.work.written import LOOK_EVERY_S, why_too_much

Work = Callable[[Any], Answer]

_REHEARSAL_S = 5.0  # of processor time
_READY, _BEGUN = b"+", b"*"
_MORE_S = struct.Struct("d")


class TaskCopy:
    """A copy of this process that waits for its task.

    Args:
        work: what does the task.
        rehearse: what the copy does before it waits.

    Raises:
        OSError: no copy can be made.
    """

    _process: int
    _told: int
    _said: int
    _waits: bool
    _has_ended: bool

    def __init__(self, work: Work, rehearse: Callable[[], object] = lambda: None) -> None:
        if sys.platform != "linux":
            raise OSError(errno.ENOSYS, "only on Linux a process copies itself")
        ends: list[int] = []
        parent = os.getpid()
        try:
            ends += os.pipe()
            ends += os.pipe()
            self._process = os.fork()
        except OSError:
            _close(ends)
            raise
        task, self._told, self._said, answer = ends
        if self._process == 0:
            _live(parent, task, answer, work, rehearse)
        _close([task, answer])
        self._waits = self._has_ended = False
        self._stopped_for: str | None = None

    def fileno(self) -> int:
        """Give the file number that can be read from when it is ready, and when it has ended."""
        return self._said

    def is_ready(self) -> bool:
        """Whether it waits for its task; not so while it rehearses, nor when it has ended."""
        while not self._has_ended and select.select([self._said], [], [], 0)[0]:
            self._waits = os.read(self._said, 1) == _READY
            self._has_ended = not self._waits
        return self._waits

    @property
    def has_ended(self) -> bool:
        """Whether it ended without a task, as `is_ready` found last."""
        return self._has_ended

    def do(self, head: TaskHead, task: memoryview, how_it_ended: Callable[[int], str]) -> memoryview | None:
        """Have it do its task, once; then it has ended.

        Args:
            head: of the task.
            task: its bytes.
            how_it_ended: says why it ended without an answer, by its exit code.

        Returns:
            The bytes of the answer, which are not trusted; None when it ended before it had the task.
        """
        with contextlib.suppress(BrokenPipeError):
            write_all(self._told, _MORE_S.pack(head.more_s))
            write_all(self._told, task)
        os.close(self._told)
        stop = partial(self._stop_if_it_writes_too_much, head.building)
        try:
            said = read_to_end(self._said, MOST_ANSWER_BYTES, meanwhile=stop, every_s=LOOK_EVERY_S)
        finally:
            os.close(self._said)
            status = self._end()
        for folder in head.building:  # the copy may only empty it
            drop_if_empty(folder)
        before = _BEGUN if self._waits else _READY + _BEGUN
        if said[: len(before)] != before:
            return None
        if len(said) > len(before):
            return said[len(before) :]
        code = os.waitstatus_to_exitcode(status)
        died = self._stopped_for or how_it_ended(code)
        return memoryview(write_answer(Answer(died=died, detail=f"exit code {code}")))

    def end(self) -> None:
        """End it without a task."""
        _close([self._told, self._said])
        self._end()

    def _end(self) -> int:
        """Stop it, unless it has ended; gives how it ended."""
        self._kill()
        return os.waitpid(self._process, 0)[1]

    def _stop_if_it_writes_too_much(self, folders: Iterable[Path]) -> None:
        self._stopped_for = self._stopped_for or why_too_much(self._process, folders)
        if self._stopped_for is not None:
            self._kill()

    def _kill(self) -> None:
        if sys.platform != "win32":
            os.kill(self._process, signal.SIGKILL)


def _live(parent: int, task: int, answer: int, work: Work, rehearse: Callable[[], object]) -> NoReturn:
    """Rehearse, wait for the task, shut this process in, do it, write the answer, and end."""
    try:
        end_with_parent(parent)
        _keep_open(0, 1, 2, task, answer)
        allow_processor_time(_REHEARSAL_S)
        rehearse()
        if threading.active_count() > 1:
            os._exit(1)  # the walls are for the thread that puts them up
        write_all(answer, _READY)
        with os.fdopen(task, "rb") as stream:
            told = stream.read()
        write_all(answer, _BEGUN)
        (more_s,) = _MORE_S.unpack_from(told)
        allow_processor_time(CPU_S + more_s)
        message = pickle.loads(memoryview(told)[_MORE_S.size :])
        shut_in = answer_to(_shut_in, message)
        write_all(answer, write_answer(work(message) if shut_in.result else shut_in))
    except BaseException:  # the process ends here, whatever happened: the parent sees that there is no answer
        os._exit(1)
    os._exit(0)


def _keep_open(*kept: int) -> None:
    """Close all other files: pipes of the worker's process, by which it and the service know of each other."""
    if sys.platform != "linux":
        return
    with contextlib.suppress(OSError):  # without /proc there is no list of them
        _close(one for one in (int(one.name) for one in Path("/proc/self/fd").iterdir()) if one not in kept)


def _close(ends: Iterable[int]) -> None:
    for end in ends:
        with contextlib.suppress(OSError):
            os.close(end)


def _shut_in(message: object) -> bool:
    """Make what must be there before the walls are, and put them up.

    Raises:
        OSError: disk or rights.
    """
    places = places_of(message)
    for folder in places.writable:
        make_building_folder(folder)
    for file in places.copies:
        file.touch()
    wall_in(places)
    return True
