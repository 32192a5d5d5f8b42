"""Child processes in which everything that was dropped is opened: limited in memory, time and file size.

A hostile or broken file can kill its worker and nothing else. Workers live long (starting one costs half a second)
and are replaced after a while, after a death and after a task that took too long.
"""

import contextlib
import ctypes
import multiprocessing
import os
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from watcher.errors import OrderHeld
from watcher.job import ArtCheck

MEMORY_BYTES = 4 * 1024**3  # address space, not memory in use: the libraries reserve far more than they touch
FILE_BYTES = 2 * 1024**3
TASK_S = 120.0
TASKS_BEFORE_REPLACED = 500


@dataclass(frozen=True, kw_only=True)
class Look:
    """Task: list what a ZIP holds, or count the pages of a PDF or TIFF."""

    path: Path


@dataclass(frozen=True, kw_only=True)
class Answer:
    """How a task ended.

    Attributes:
        result: what it gives, or None.
        held: why the order cannot be made, plain sentences, the gravest first; empty when it was made.
        soft: whether the person may accept it.
        died: the worker broke down over it: how, for the log; None when it did not.
        trouble: the disk, a right or a mount stood in the way: worth trying again later.
    """

    result: Any = None
    held: tuple[str, ...] = ()
    soft: bool = False
    died: str | None = None
    trouble: str | None = None


class Worker:
    """One child process and the task it has in hand."""

    def __init__(self) -> None:
        self._process: multiprocessing.process.BaseProcess | None = None
        self._pipe: Connection[Any, Any] | None = None
        self._done = 0
        self._deadline = 0.0
        self.task: Any = None

    @property
    def is_idle(self) -> bool:
        """Whether it can take a task."""
        return self.task is None

    @property
    def pipe(self) -> "Connection[Any, Any] | None":
        """What becomes readable when there is an answer (or the worker has died)."""
        return self._pipe

    @property
    def deadline(self) -> float:
        """When the task in hand is given up, monotonic."""
        return self._deadline

    def start(self, task: Any, message: object) -> None:
        """Send it a message to work on; `task` is what the caller knows it by. Starts a process when there is none."""
        if not self._is_sound() or self._done >= TASKS_BEFORE_REPLACED:
            self.stop()
            self._open()
        assert self._pipe is not None
        self.task, self._deadline = task, time.monotonic() + TASK_S
        # a worker that died while idle: the answer then tells
        with contextlib.suppress(OSError):
            self._pipe.send(message)

    def _is_sound(self) -> bool:
        """Whether a process is there and lives. An idle one says nothing: something to read is the end of its pipe."""
        if self._process is None or self._pipe is None:
            return False
        return self._process.is_alive() and not self._pipe.poll()

    def answer(self) -> Answer | None:
        """The answer, once it is there; None while the task is under way."""
        assert self._pipe is not None
        try:
            if self._pipe.poll():
                answer: Answer = self._pipe.recv()
                self.task, self._done = None, self._done + 1
                return answer
        except (EOFError, OSError):
            return self._gone("the part that opens files broke down")
        if time.monotonic() > self._deadline:
            return self._gone(f"it took longer than {TASK_S:.0f} s")
        return None

    def stop(self) -> None:
        """End the process; a task in hand is lost."""
        if self._pipe is not None:
            self._pipe.close()
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
        self._process = self._pipe = self.task = None
        self._done = 0

    def _open(self) -> None:
        spawn = multiprocessing.get_context("spawn")
        self._pipe, theirs = spawn.Pipe()
        self._process = spawn.Process(
            target=_serve, args=(theirs, os.getpid()), name="print-folder worker", daemon=True
        )
        self._process.start()
        theirs.close()

    def _gone(self, how: str) -> Answer:
        code = None
        if self._process is not None:
            self._process.join(0.5)
            code = self._process.exitcode
        self.stop()
        return Answer(died=how if code is None else f"{how} (exit code {code})")


def _serve(pipe: "Connection[Any, Any]", parent: int) -> None:
    """The child's loop: a task in, an answer out, until the parent is gone."""
    _limit_itself(parent)
    from watcher import pipeline  # here: only workers load the libraries that open files
    from watcher.intake.look import look_inside

    while True:
        try:
            message = pipe.recv()
        except (EOFError, OSError):
            return
        if isinstance(message, Look):
            answer = answer_to(look_inside, message.path)
        else:
            answer = answer_to(pipeline.check if isinstance(message, ArtCheck) else pipeline.make, message)
        pipe.send(answer)


def answer_to(run: Callable[[Any], Any], message: Any) -> Answer:
    """What doing a task comes to: its result, a reason to hold the order, or what stood in the way."""
    try:
        return Answer(result=run(message))
    except OrderHeld as held:
        findings = getattr(held, "findings", ())
        reasons = tuple(finding.message for finding in findings) or (str(held),)
        return Answer(held=reasons, soft=bool(getattr(held, "is_soft", False)))
    except OSError as error:
        return Answer(trouble=str(error))
    except MemoryError:
        return Answer(died="it needed too much memory")
    except Exception as error:  # told to the service, which logs it and holds this order alone
        return Answer(died=f"{type(error).__name__}: {error}")


def _limit_itself(parent: int) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C goes to the whole group; the service decides
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    if sys.platform == "linux":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
        resource.setrlimit(resource.RLIMIT_FSIZE, (FILE_BYTES, FILE_BYTES))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # PR_SET_PDEATHSIG: no orphan goes on after the service is killed
        if os.getppid() != parent:
            os._exit(0)
