"""The process of a worker: loads all that tasks need, then does each task in a child of its own, behind walls.

On Linux the child is a copy of this process (fork), which costs a few milliseconds. It shuts itself in before it opens
anything, so that a file which takes it over reaches its own order alone, and is gone after the task. Elsewhere the
tasks are done here, one after the other.
"""

import gc
import os
import signal
import sys
from collections.abc import Callable
from typing import Any, NoReturn

from watcher.outbox.product import drop_if_empty
from watcher.records.machine import this_machine
from watcher.records.trouble import say_trouble
from watcher.work.answer import FILE_BYTES, Answer, answer_to
from watcher.work.contract import Pipe
from watcher.work.gang_model import Examination, RunJob
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Job, OrderCheck
from watcher.work.limits import CPU_S, allow_processor_time, end_with_parent, most_memory, set_limits
from watcher.work.memory import give_back_after_large, keep_freed
from watcher.work.walls.places import places_of, plan_walls, wall_in
from watcher.work.wire import MOST_BYTES, write_answer

PIECE_S = 2.0  # more for each file or page of art beyond a front and a back: one of 60 million pixels takes it

_SWITCH_S = 0.0005  # threads that come back from C for a moment of Python wait no longer for those that are all Python

Work = Callable[[Any], Answer]


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
    while True:
        try:
            message = pipe.recv()
        except (EOFError, OSError):
            return
        pipe.send_bytes(_do(pipe, message, work or work_on))


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


def _do(pipe: "Pipe[Any, Any]", message: Any, work: Work) -> bytes:
    """Give the bytes of an answer, written by a child of the task's own where there is one; they are not trusted."""
    if sys.platform != "linux":
        return _do_here(message, work)
    reading, writing = os.pipe()
    parent = os.getpid()
    try:
        child = os.fork()
    except OSError as error:
        os.close(reading)
        os.close(writing)
        return write_answer(Answer(trouble=say_trouble(error)))
    if child == 0:
        os.close(reading)
        os.close(pipe.fileno())
        _be_the_child(parent, writing, message, work)
    os.close(writing)
    with os.fdopen(reading, "rb") as stream:
        said = stream.read(MOST_BYTES)
    if said:
        os.kill(child, signal.SIGKILL)  # it has nothing left to do
    _, status = os.waitpid(child, 0)
    _remove_empty(message)
    if said:
        return said
    code = os.waitstatus_to_exitcode(status)
    return write_answer(Answer(died=how_it_ended(code, more_for(message)), detail=f"exit code {code}"))


def _be_the_child(parent: int, writing: int, message: Any, work: Work) -> NoReturn:
    """Shut this process in, do the task, write its answer, and end."""
    try:
        end_with_parent(parent)
        allow_processor_time(CPU_S + more_for(message))
        shut_in = answer_to(_shut_in, message)
        answer = work(message) if shut_in.result else shut_in
        with os.fdopen(writing, "wb") as stream:
            stream.write(write_answer(answer))
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
    """Remove the building folder of what was not made: the child may only empty it."""
    for folder in places_of(message).writable:
        drop_if_empty(folder)


def _fall_silent() -> None:
    """Discard what libraries print: it may hold text out of a dropped file."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    os.close(nowhere)
