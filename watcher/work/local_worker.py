"""A worker that is a child process with limits on memory, time and file size; only there are dropped files opened.

A hostile or broken file can kill its worker and nothing else. Workers live long (starting one costs half a second)
and are replaced after a while, after a death and after a task that took too long.
"""

import contextlib
import ctypes
import gc
import multiprocessing
import multiprocessing.spawn
import os
import signal
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from typing import IO, Any

from loguru import logger

from watcher.records.plain_text import one_line
from watcher.work.answer import FILE_BYTES, Answer, answer_to
from watcher.work.job import Job, OrderCheck
from watcher.work.memory import give_back_after_large, keep_freed

# Measured, for a front and a back together (address space, processor time): 24 cards of 85 x 55 mm at 300 ppi with
# bleed made on both sides of an SRA3 sheet 0.3 GB, 4 s; two PNGs of 60 million pixels, the worst to pack, 1.3 GB, 4 s;
# with alpha 1.1 GB, 6 s; two of 96 million pixels with alpha 1.6 GB, 15 s. A page that draws without end reaches any
# limit of memory within half a minute, any of time whatever it is.
MEMORY_BYTES = 3 * 1024**3  # address space, not memory in use: the libraries reserve more than they touch
CPU_S = 60  # of one task
TASK_S = 150.0  # of one task, by the clock: on a busy machine a task gets a share of it as processor time
PIECE_S = 2.0  # more of both for each file or page of art beyond a front and a back: one of 60 million pixels takes it
TASKS_BEFORE_REPLACED = 500

_SWITCH_S = 0.0005  # threads that come back from C for a moment of Python wait no longer for those that are all Python

_EXEC_FAILED = 255  # of a child whose interpreter could not be executed
_TAIL_BYTES = 4000
_LARGEST_LIMIT = (1 << 64) - 1  # RLIM_INFINITY is -1 here, and the largest number in C


@dataclass(frozen=True, kw_only=True)
class InspectFile:
    """Task: list what a ZIP holds, or count the pages of a PDF or TIFF."""

    path: Path


class LocalWorker:
    """One child process and its task; starts the process when the first task comes."""

    def __init__(self) -> None:
        self._process: multiprocessing.process.BaseProcess | None = None
        self._pipe: Connection[Any, Any] | None = None
        self._said: IO[bytes] | None = None  # its standard error until it is ready
        self._done = 0
        self._is_ready = False  # it has loaded all that it works with
        self._deadline = 0.0
        self._more_s = 0.0  # that the task in hand may take for the many pieces of its art
        self._task: object | None = None

    @property
    def task(self) -> object | None:
        """What the caller knows its task by, or None."""
        return self._task

    @property
    def is_idle(self) -> bool:
        """Whether it can take a task."""
        return self._task is None

    @property
    def pipe(self) -> "Connection[Any, Any] | None":
        """What becomes readable when there is an answer (or the worker has died)."""
        return self._pipe

    @property
    def deadline(self) -> float:
        """When the task is given up; monotonic clock, s."""
        return self._deadline

    def start(self, task: object, message: object) -> None:
        """Begin a task; starts a process when there is none.

        Args:
            task: what the caller knows it by.
            message: see `work_on`.

        Raises:
            OSError: no process can be started.
        """
        if not self._is_sound() or self._done >= TASKS_BEFORE_REPLACED:
            self.stop()
            self._open()
        assert self._pipe is not None
        self._more_s = _more_for(message)
        self._task, self._deadline = task, time.monotonic() + TASK_S + self._more_s
        with contextlib.suppress(OSError):  # a process that died while idle: `answer` then says so
            self._pipe.send(message)

    def _is_sound(self) -> bool:
        """Whether a process is there and lives. An idle one sends nothing: something to read is the end of its pipe."""
        if self._process is None or self._pipe is None:
            return False
        return self._process.is_alive() and not self._pipe.poll()

    def answer(self) -> Answer | None:
        """Give the answer and become idle; None while the task is under way."""
        assert self._pipe is not None
        try:
            if not self._is_ready and self._pipe.poll():
                started: Answer = self._pipe.recv()
                if started.result is None:
                    return self._not_started(started.detail or started.died or started.trouble or "")
                self._is_ready, self._deadline = True, time.monotonic() + TASK_S + self._more_s
            if self._is_ready and self._pipe.poll():
                answer: Answer = self._pipe.recv()
                self._task, self._done = None, self._done + 1
                if answer.detail:
                    logger.error("a worker could not go on: {detail}", detail=one_line(answer.detail, 2000))
                return answer
        except (EOFError, OSError):
            return self._gone(None)
        if time.monotonic() > self._deadline:
            return self._gone(f"it took longer than {TASK_S + self._more_s:.0f} s")
        return None

    def stop(self) -> None:
        """End the process; a task under way is lost."""
        if self._pipe is not None:
            self._pipe.close()
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
        if self._said is not None:
            self._said.close()
        self._process = self._pipe = self._said = self._task = None
        self._done, self._is_ready = 0, False

    def _open(self) -> None:
        spawn = multiprocessing.get_context("spawn")
        self._pipe, theirs = spawn.Pipe()
        self._process = spawn.Process(
            target=_serve, args=(theirs, os.getpid()), name="print-folder worker", daemon=True
        )
        self._said = tempfile.TemporaryFile()  # noqa: SIM115 - it lives as long as the process
        with _errors_into(self._said):
            self._process.start()
        theirs.close()

    def _not_started(self, why: str) -> Answer:
        """Give the answer for a process that could not get ready; what it wrote itself goes into the service's log."""
        said = _tail_of(self._said)
        logger.error(
            "a worker could not start: {why}{limits}{said}",
            why=one_line(why, 2000),
            limits=low_limits(),
            said=f"; it said: {said}" if said else "",
        )
        self.stop()
        short = one_line(why.partition(" (")[0], 200)
        return Answer(trouble=f"files cannot be opened just now ({short}){low_limits()}")

    def _gone(self, how: str | None) -> Answer:
        """Give the answer for a process that has ended over its task, or end it now; `how` it failed, if known."""
        code = None
        if self._process is not None:
            self._process.join(0.5)
            code = self._process.exitcode
        detail = f"exit code {code}"
        if not self._is_ready:  # no fault of the file: it has not been opened
            if code == _EXEC_FAILED:
                detail = f"{multiprocessing.spawn.get_executable()!s} cannot be run, {detail}"
            return self._not_started(detail if how is None else f"{detail}, {how}")
        self.stop()
        logger.error("a worker has ended over its task: {detail}", detail=detail)
        return Answer(died=how or _how_it_ended(code, self._more_s), detail=detail)


def low_limits() -> str:
    """Say which limits of this process are lower than those of a worker, in words for people; empty where none is."""
    if sys.platform != "linux":
        return ""
    import resource

    low = []
    for which, ours, words in (
        (resource.RLIMIT_AS, MEMORY_BYTES, "{} MB of memory (ulimit -v)"),
        (resource.RLIMIT_FSIZE, FILE_BYTES, "files of {} MB (ulimit -f)"),
    ):
        limit = min(limit & _LARGEST_LIMIT for limit in resource.getrlimit(which))
        if limit < ours:
            low.append(words.format(limit // 1_000_000))
    return f". The program was started with limits of {' and '.join(low)}; start it without them" if low else ""


def _tail_of(stream: IO[bytes] | None) -> str:
    """Give the end of what a process has written there, as one line."""
    if stream is None:
        return ""
    stream.seek(0, os.SEEK_END)
    stream.seek(max(0, stream.tell() - _TAIL_BYTES))
    return one_line(stream.read().decode("utf-8", "replace").strip(), _TAIL_BYTES)


def _more_for(message: object) -> float:
    """Give the seconds that a task may take beyond the usual, because its order has many designs."""
    job = message.job if isinstance(message, OrderCheck) else message
    pieces = len(job.order.wanted_art) if isinstance(job, Job) else 0
    return PIECE_S * max(0, pieces - 2)


def _how_it_ended(code: int | None, more_s: float) -> str:
    if code == -getattr(signal, "SIGXCPU", 0):
        return f"it kept the computer busy for more than {CPU_S + more_s:.0f} s"
    return "the program broke down over it"


def _serve(pipe: "Connection[Any, Any]", parent: int) -> None:
    """Run the child's loop: a message in, an answer out, until the parent is gone."""
    started = answer_to(_get_ready, parent)
    pipe.send(started)
    if started.result is None:
        return
    _fall_silent()
    while True:
        try:
            message = pipe.recv()
        except (EOFError, OSError):
            return
        _start_clock(CPU_S + _more_for(message))
        pipe.send(work_on(message))
        give_back_after_large()


def _get_ready(parent: int) -> bool:
    """Set the limits and load all that a task needs."""
    _limit_itself(parent)
    keep_freed()
    sys.setswitchinterval(_SWITCH_S)
    import pypdf  # here: only workers load the libraries that open files

    import watcher.work.make_gang_run  # noqa: F401 - loaded before the first task, whose time it would take

    # The library's own limit of 75 MB a stream is less than one photo of 60 million pixels takes in our own sheets.
    pypdf.overwrite_configuration(maximum_declared_stream_length=FILE_BYTES)
    gc.collect()
    gc.freeze()  # what the libraries are made of lives as long as the worker: never looked through again
    return True


def work_on(message: Any) -> Answer:
    """Do what a message asks for: a `Job`, `OrderCheck`, `Examination`, `RunJob` or `InspectFile`."""
    from watcher.inbox.inspection import inspect_file
    from watcher.work import make_order
    from watcher.work.gang_model import Examination, RunJob
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


def _limit_itself(parent: int) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C goes to the whole group; the service decides
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    if sys.platform == "linux":
        import resource

        _limit(resource.RLIMIT_AS, MEMORY_BYTES)
        _limit(resource.RLIMIT_FSIZE, FILE_BYTES)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # PR_SET_PDEATHSIG: no orphan goes on after the service is killed
        if os.getppid() != parent:
            os._exit(0)
        with contextlib.suppress(OSError):  # when memory runs out, a worker goes before the service and other programs
            Path("/proc/self/oom_score_adj").write_text("500")


def _limit(which: int, most: int) -> None:
    """Set a limit; a lower one that the service was started under (`ulimit`, a unit) stays."""
    import resource

    own = [limit for limit in resource.getrlimit(which) if limit != resource.RLIM_INFINITY]
    lowest = min([most, *own])
    resource.setrlimit(which, (lowest, lowest))


def _start_clock(seconds_allowed: float) -> None:
    """Allow the next task its processor time; going beyond it ends the process."""
    if sys.platform == "linux":
        import resource

        used = resource.getrusage(resource.RUSAGE_SELF)
        seconds = int(used.ru_utime + used.ru_stime + seconds_allowed) + 1
        _, most = resource.getrlimit(resource.RLIMIT_CPU)
        soft = seconds if most == resource.RLIM_INFINITY else min(seconds, most)
        resource.setrlimit(resource.RLIMIT_CPU, (soft, most))


@contextlib.contextmanager
def _errors_into(stream: IO[bytes]) -> Iterator[None]:
    """Redirect the standard error of a process started meanwhile: what it writes before it can answer."""
    try:
        own = os.dup(2)
    except OSError:  # a service without a standard error
        yield
        return
    try:
        os.dup2(stream.fileno(), 2)
        yield
    finally:
        os.dup2(own, 2)
        os.close(own)


def _fall_silent() -> None:
    """Discard what libraries print: it may hold text out of a dropped file."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    os.close(nowhere)
