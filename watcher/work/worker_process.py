"""The process of a worker: loads all that tasks need, then has each task done by a copy of itself, behind walls.

On Linux the copy (fork, `work/task_copy.py`) shuts itself in before it opens anything, so that a file which takes it
over reaches its own order alone, and is gone after the task. Elsewhere the tasks are done here, one after the other.
"""

import contextlib
import gc
import os
import signal
import sys
from functools import partial
from typing import Any

from watcher.records.machine import this_machine
from watcher.records.trouble import say_trouble
from watcher.work.answer import FILE_BYTES, Answer, answer_to
from watcher.work.contract import Pipe
from watcher.work.gang_model import Examination, RunJob
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Job, OrderCheck
from watcher.work.limits import CPU_S, allow_processor_time, end_with_parent, most_memory, set_limits
from watcher.work.memory import give_back_after_large, keep_freed
from watcher.work.task_copy import TaskCopy, Work
from watcher.work.walls.places import plan_walls
from watcher.work.wire import write_answer

PIECE_S = 2.0  # more for each file or page of art beyond a front and a back: one of 60 million pixels takes it

_QUIET_S = 0.05  # without a task: as good as nothing is waiting
_MEMORY_FOR_COPIES = 2_000_000_000  # of the computer; a copy that waits takes 50 MB

_SWITCH_S = 0.0005  # threads that come back from C for a moment of Python wait no longer for those that are all Python


def more_for(message: object) -> float:
    """Give the seconds that a task may take beyond the usual, because its order has many designs."""
    job = message.job if isinstance(message, OrderCheck) else message
    pieces = len(job.order.wanted_art) if isinstance(job, Job) else 0
    return PIECE_S * max(0, pieces - 2)


def serve(pipe: "Pipe[Any, Any]", parent: int, work: Work | None = None) -> None:
    """Run the process: a message in, the bytes of an answer out, until the parent is gone.

    Args:
        pipe: to the parent. The first answer tells whether the process could get ready.
        parent: its process number.
        work: what does a task; without it `work_on`.
    """
    started = answer_to(_get_ready, parent)
    pipe.send_bytes(write_answer(started))
    if started.result is None:
        return
    _fall_silent()
    does = work or work_on
    copies = _Copies(pipe.fileno(), does, ahead=_has_memory_for_copies()) if sys.platform == "linux" else None
    while True:
        try:
            if copies is not None and not pipe.poll(_QUIET_S):
                copies.get_ready()
            message = pipe.recv()
        except (EOFError, OSError):
            return
        pipe.send_bytes(_do_here(message, does) if copies is None else copies.do(message))


def work_on(message: Any) -> Answer:
    """Do what a message asks for: a `Job`, `OrderCheck`, `Examination`, `RunJob` or `InspectFile`."""
    from watcher.inbox.inspection import inspect_file
    from watcher.work import make_order
    from watcher.work.make_gang_run import examine, make_run

    match message:
        case InspectFile():
            return answer_to(inspect_file, message.path)
        case OrderCheck():
            return answer_to(make_order.check, message)
        case Examination():
            return answer_to(examine, message)
        case RunJob():
            return answer_to(make_run, message)
    return answer_to(make_order.make, message)


def how_it_ended(exit_code: int | None, more_s: float) -> str:
    """Say in plain words why a process ended over its task."""
    if sys.platform != "win32" and exit_code == -signal.SIGXCPU:
        return f"it kept the computer busy for more than {CPU_S + more_s:.0f} s"
    return "the program broke down over it"


def _get_ready(parent: int) -> bool:
    """Set the limits and load all that a task needs."""
    set_limits(most_memory(this_machine()))
    end_with_parent(parent)
    keep_freed()
    sys.setswitchinterval(_SWITCH_S)
    import pypdf  # here: only workers load the libraries that open files

    import watcher.work.make_gang_run  # noqa: F401 - loaded before the first task, whose time it would take
    from watcher.work.warm_up import warm_up

    # The library's own limit of 75 MB a stream is less than one photo of 60 million pixels takes in our own sheets.
    pypdf.overwrite_configuration(maximum_declared_stream_length=FILE_BYTES)
    if sys.platform == "linux":  # where each task is done in a copy of this process
        warm_up()
    plan_walls()
    gc.collect()
    gc.freeze()  # what the libraries are made of lives as long as the worker: never looked through again
    return True


def _do_here(message: Any, work: Work) -> bytes:
    allow_processor_time(CPU_S + more_for(message))
    answer = write_answer(work(message))
    give_back_after_large()
    return answer


class _Copies:
    """Has each task done by a copy of this process; the copy for the next order is made while nothing waits.

    Args:
        pipe: the file number of the pipe that the tasks come by.
        work: what does a task.
        ahead: whether a copy is made before its task comes.
    """

    def __init__(self, pipe: int, work: Work, *, ahead: bool) -> None:
        self._pipe, self._work, self._makes_ahead = pipe, work, ahead
        self._ahead: TaskCopy | None = None
        self._last: Job | None = None

    def do(self, message: object) -> bytes:
        """Give the bytes of an answer, which are not trusted."""
        more_s = more_for(message)
        try:
            copy = self._copy_for(message)
        except OSError as error:
            return write_answer(Answer(trouble=say_trouble(error)))
        return copy.do(message, more_s, lambda code: how_it_ended(code, more_s))

    def get_ready(self) -> None:
        """Make the copy for the next order, which rehearses one like the last."""
        if self._ahead is None and self._makes_ahead:
            with contextlib.suppress(OSError):  # it only saves time
                self._ahead = TaskCopy(self._work, self._pipe, partial(_rehearse, self._last))

    def _copy_for(self, message: object) -> TaskCopy:
        if isinstance(message, InspectFile):  # which needs little; the order comes after it
            return TaskCopy(self._work, self._pipe)
        self._last = message if isinstance(message, Job) else self._last
        copy, self._ahead = self._ahead, None
        if copy is not None and copy.is_ready():
            return copy
        if copy is not None:
            copy.end()
        return TaskCopy(self._work, self._pipe)


def _rehearse(like: Job | None) -> None:
    from watcher.work.warm_up import warm_up

    warm_up(like)


def _has_memory_for_copies() -> bool:
    memory = this_machine().memory_bytes
    return memory is None or memory >= _MEMORY_FOR_COPIES


def _fall_silent() -> None:
    """Discard what libraries print: it may hold text out of a dropped file."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    os.close(nowhere)
