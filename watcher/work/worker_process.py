"""The process of a worker: loads all that tasks need, then has each task done by a copy of itself, behind walls.

On Linux the copy (fork, `work/task_copy.py`) shuts itself in before it opens anything, so that a file which takes it
over reaches its own order alone, and is gone after the task. Elsewhere the tasks are done here, one after the other.
"""

import contextlib
import gc
import os
import pickle
import signal
import sys
from functools import partial
from multiprocessing.connection import wait
from typing import Any

from watcher.archive.effective_settings import EffectiveSettings
from watcher.records.machine import this_machine
from watcher.records.trouble import say_trouble
from watcher.work.answer import FILE_BYTES, Answer, answer_to
from watcher.work.contract import Pipe
from watcher.work.frames import read_frame, write_frame
from watcher.work.gang_model import Examination, RunJob
from watcher.work.inspect_file import InspectFile
from watcher.work.job import OrderCheck
from watcher.work.limits import CPU_S, allow_processor_time, end_with_parent, most_memory, set_limits
from watcher.work.memory import give_back_after_large, keep_freed
from watcher.work.task_copy import TaskCopy, Work
from watcher.work.task_head import OrderKind, TaskHead
from watcher.work.walls.places import plan_walls
from watcher.work.wire import write_answer

_QUIET_S = 0.05  # without a task: as good as nothing is waiting
_ENDED_TOO_SOON = "what opens files was ended before it began"
_MEMORY_FOR_COPIES = 2_000_000_000  # of the computer; a copy that waits takes 50 MB

_SWITCH_S = 0.0005  # threads that come back from C for a moment of Python wait no longer for those that are all Python


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
    if sys.platform == "linux":
        copies = _Copies(pipe, does, ahead=_has_memory_for_copies())
    while True:
        try:
            if sys.platform == "linux":
                copies.do_next()
            else:
                head, task = pipe.recv(), pipe.recv_bytes()
                pipe.send_bytes(_do_here(head, pickle.loads(task), does))
        except (EOFError, OSError):
            return


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
    gc.disable()  # nearly nothing that is made while modules are loaded is garbage
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
    gc.enable()
    return True


def _do_here(head: TaskHead, message: Any, work: Work) -> bytes:
    allow_processor_time(CPU_S + head.more_s)
    answer = write_answer(work(message))
    give_back_after_large()
    return answer


class _Copies:
    """Has each task done by a copy of this process; the copy for the next order is made while nothing waits.

    What a task and its answer say is not kept here, not even in memory that is free again: the next copy has all of it.

    Args:
        pipe: by which tasks come and answers go.
        work: what does a task.
        ahead: whether a copy is made before its task comes.
    """

    def __init__(self, pipe: "Pipe[Any, Any]", work: Work, *, ahead: bool) -> None:
        self._pipe, self._work, self._makes_ahead = pipe, work, ahead
        self._may_make = ahead
        self._ahead: TaskCopy | None = None
        self._kind: OrderKind | None = None
        self._unfit: EffectiveSettings | None = None  # a rehearsal with them came to nothing

    def do_next(self) -> None:
        """Wait for a task, have it done, and send its answer.

        Raises:
            EOFError, OSError: the parent has ended.
        """
        if not self._pipe.poll(_QUIET_S):
            self.get_ready()
            self._wait()
        head = self._pipe.recv()
        write_frame(self._pipe.fileno(), self.do(head, read_frame(self._pipe.fileno())))

    def do(self, head: TaskHead, task: memoryview) -> memoryview | bytes:
        """Give the bytes of an answer, which are not trusted."""
        try:
            said = self._copy_for(head).do(head, task, partial(how_it_ended, more_s=head.more_s))
            if said is None:  # ended from outside while it waited: no fault of the task's
                said = TaskCopy(self._work).do(head, task, partial(how_it_ended, more_s=head.more_s))
        except OSError as error:
            return write_answer(Answer(trouble=say_trouble(error)))
        return write_answer(Answer(trouble=_ENDED_TOO_SOON)) if said is None else said

    def get_ready(self) -> None:
        """Make the copy for the next order, which rehearses one like the last."""
        if self._may_make and self._ahead is None:
            with contextlib.suppress(OSError):  # it only saves time
                self._ahead = TaskCopy(self._work, partial(_rehearse, self._rehearsed()))

    def _rehearsed(self) -> OrderKind | None:
        """Give the kind of order that is rehearsed; None for any, where the last one takes too long."""
        is_unfit = self._kind is not None and self._kind.settings == self._unfit
        return None if is_unfit else self._kind

    def _wait(self) -> None:
        """Wait for a task. A copy that ends meanwhile has no other take its place before the next order."""
        while self._ahead is not None and self._pipe not in wait([self._pipe, self._ahead.fileno()]):
            self._ahead.is_ready()
            if self._ahead.has_ended:
                self._ahead.end()
                self._ahead, self._may_make = None, False
                self._unfit = self._kind.settings if self._kind else None

    def _copy_for(self, head: TaskHead) -> TaskCopy:
        if head.is_brief:
            return TaskCopy(self._work)
        self._kind, self._may_make = head.kind or self._kind, self._makes_ahead
        copy, self._ahead = self._ahead, None
        if copy is not None and copy.is_ready():
            return copy
        if copy is not None:
            copy.end()
        return TaskCopy(self._work)


def _rehearse(like: OrderKind | None) -> None:
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
