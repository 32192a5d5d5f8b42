"""A worker that is a child process with limits on memory, time and file size; only there are dropped files opened.

A hostile or broken file can kill its own task and nothing else. Workers live long (starting one costs half a second)
and are replaced after a while, after a death and after a task that took too long.
"""

import contextlib
import multiprocessing
import multiprocessing.spawn
import os
import pickle
import sys
import tempfile
import time
import types
from collections.abc import Iterator
from typing import IO, Any

from loguru import logger

from watcher.records.plain_text import one_line
from watcher.work.answer import Answer
from watcher.work.contract import Pipe
from watcher.work.environment import environment_of_a_worker
from watcher.work.limits import low_limits
from watcher.work.task_copy import Work
from watcher.work.task_head import head_of
from watcher.work.wire import MOST_ANSWER_BYTES, is_answer_to, read_answer
from watcher.work.worker_process import how_it_ended, serve

TASK_S = 150.0  # of one task, by the clock: on a busy machine a task gets a share of it as processor time
TASKS_BEFORE_REPLACED = 500

_EXEC_FAILED = 255  # of a child whose interpreter could not be executed
_TAIL_BYTES = 4000


class LocalWorker:
    """One child process and its task; starts the process when the first task comes.

    Args:
        work: what does a task there, a function that can be imported; without it `worker_process.work_on`.
    """

    def __init__(self, work: Work | None = None) -> None:
        self._work = work
        self._process: multiprocessing.process.BaseProcess | None = None
        self._pipe: Pipe[Any, Any] | None = None
        self._said: IO[bytes] | None = None  # its standard error until it is ready
        self._done = 0
        self._is_ready = False  # it has loaded all that it works with
        self._deadline = 0.0
        self._more_s = 0.0  # that the task in hand may take for the many pieces of its art
        self._task: object | None = None
        self._message: object | None = None

    @property
    def task(self) -> object | None:
        """What the caller knows its task by, or None."""
        return self._task

    @property
    def is_idle(self) -> bool:
        """Whether it can take a task."""
        return self._task is None

    @property
    def pipe(self) -> "Pipe[Any, Any] | None":
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
            message: see `worker_process.work_on`.

        Raises:
            OSError: no process can be started.
        """
        if not self._is_sound() or self._done >= TASKS_BEFORE_REPLACED:
            self.stop()
            self._open()
        assert self._pipe is not None
        head = head_of(message)
        self._message, self._more_s = message, head.more_s
        self._task, self._deadline = task, time.monotonic() + TASK_S + self._more_s
        with contextlib.suppress(OSError):  # a process that died while idle: `answer` then says so
            self._pipe.send(head)
            self._pipe.send_bytes(pickle.dumps(message))

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
                started = read_answer(self._pipe.recv_bytes(MOST_ANSWER_BYTES))
                if started.result is None:
                    return self._not_started(started.detail or started.died or started.trouble or "")
                self._is_ready, self._deadline = True, time.monotonic() + TASK_S + self._more_s
            if self._is_ready and self._pipe.poll():
                answer = read_answer(self._pipe.recv_bytes(MOST_ANSWER_BYTES))
                if self._work is None and not is_answer_to(self._message, answer):
                    raise ValueError(f"a {type(answer.result).__name__} for {type(self._message).__name__}")
                self._task, self._done = None, self._done + 1
                if answer.detail:
                    logger.error("a worker could not go on: {detail}", detail=one_line(answer.detail, 2000))
                return answer
        except (EOFError, OSError):
            return self._gone(None)
        except ValueError as error:
            logger.error("a worker sent what is no answer: {error}", error=one_line(str(error), 2000))
            return self._gone("what it sent back is no answer")
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
            target=serve, args=(theirs, os.getpid(), self._work), name="print-folder worker", daemon=True
        )
        self._said = tempfile.TemporaryFile()  # noqa: SIM115 - it lives as long as the process
        with _errors_into(self._said), environment_of_a_worker(), _command_line_left_out():
            self._process.start()
        theirs.close()

    def _exit_code(self, within_s: float) -> int | None:
        """Give how the process has ended; None for one that goes on.

        Asked again and again: `join` waits for a pipe which foreign code in a task can write to, and then without end.
        """
        ends = time.monotonic() + within_s
        while (code := self._process.exitcode if self._process else None) is None and time.monotonic() < ends:
            time.sleep(0.01)
        return code

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
        code = self._exit_code(within_s=0.5 if how is None else 0.0)
        detail = f"exit code {code}"
        if not self._is_ready:  # no fault of the file: it has not been opened
            if code == _EXEC_FAILED:
                detail = f"{multiprocessing.spawn.get_executable()!s} cannot be run, {detail}"
            return self._not_started(detail if how is None else f"{detail}, {how}")
        self.stop()
        logger.error("a worker has ended over its task: {detail}", detail=detail)
        return Answer(died=how or how_it_ended(code, self._more_s), detail=detail)


def _tail_of(stream: IO[bytes] | None) -> str:
    """Give the end of what a process has written there, as one line."""
    if stream is None:
        return ""
    stream.seek(0, os.SEEK_END)
    stream.seek(max(0, stream.tell() - _TAIL_BYTES))
    return one_line(stream.read().decode("utf-8", "replace").strip(), _TAIL_BYTES)


@contextlib.contextmanager
def _command_line_left_out() -> Iterator[None]:
    """Have a process that is started meanwhile not run the main module again, as it would: a tenth of its start."""
    main = sys.modules["__main__"]
    sys.modules["__main__"] = types.ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = main


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
