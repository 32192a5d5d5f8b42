"""The contract of a worker: what the service may ask of it, wherever the work is done."""

import sys
from typing import Any, Protocol

from watcher.work.answer import Answer

if sys.platform == "win32":
    from multiprocessing.connection import PipeConnection as Pipe
else:
    from multiprocessing.connection import Connection as Pipe

__all__ = ["Pipe", "Worker"]


class Worker(Protocol):
    """Does one task at a time.

    The service gives an idle worker a task with `start`, waits until `pipe` is readable or `deadline` has passed, and
    fetches what came of it with `answer`.
    """

    @property
    def task(self) -> object | None:
        """What the caller knows its task by, or None when it has none."""

    @property
    def is_idle(self) -> bool:
        """Whether it can take a task."""

    @property
    def pipe(self) -> "Pipe[Any, Any] | None":
        """What becomes readable when `answer` has something to give; None when no wait is needed."""

    @property
    def deadline(self) -> float:
        """When the task is given up; monotonic clock, s."""

    def start(self, task: object, message: object) -> None:
        """Begin a task; the worker must be idle.

        Args:
            task: what the caller knows it by.
            message: what is to be done: a `Job`, `OrderCheck`, `Examination`, `RunJob` or `InspectFile`.

        Raises:
            OSError: a file of the task cannot be read, or the worker cannot be reached; it stays idle.
        """

    def answer(self) -> Answer | None:
        """Give the answer and become idle; None while the task is under way."""

    def stop(self) -> None:
        """End whatever belongs to the worker; its task is lost. `start` begins anew."""
