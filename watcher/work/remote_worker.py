"""A worker whose orders are made on a cluster. Files that were dropped are still opened on this machine first."""

import contextlib
import multiprocessing
import time
from dataclasses import dataclass
from typing import Any

from watcher.records.plain_text import one_line
from watcher.records.trouble import WorkerTrouble, say_trouble
from watcher.work.answer import Answer
from watcher.work.cluster import Cluster
from watcher.work.contract import Pipe, Worker
from watcher.work.job import Job
from watcher.work.packing import PackedAnswer, pack, unpack
from watcher.work.wire import is_answer_to

QUEUE_S = 900.0  # an order that no machine has made by then is asked for anew
_FETCH_S = 60.0  # for the product of one order to come over the network


@dataclass(frozen=True, kw_only=True)
class _Sent:
    """An order that the cluster has; `deadline` by the monotonic clock, `future` is Dask's."""

    task: object
    job: Job
    future: Any
    deadline: float


class RemoteWorker:
    """One order at a time on the cluster; everything else is done by a worker of this machine.

    Args:
        cluster: where orders are made.
        local: does all tasks but whole orders, such as looking into ZIP and PDF files.
    """

    def __init__(self, cluster: Cluster, local: Worker) -> None:
        self._cluster, self._local = cluster, local
        self._sent: _Sent | None = None
        self._readable, self._writable = multiprocessing.Pipe(duplex=False)

    @property
    def task(self) -> object | None:
        """What the caller knows its task by, or None."""
        return self._local.task if self._sent is None else self._sent.task

    @property
    def is_idle(self) -> bool:
        """Whether it can take a task."""
        return self.task is None

    @property
    def pipe(self) -> "Pipe[Any, Any] | None":
        """What becomes readable when there is an answer."""
        return self._local.pipe if self._sent is None else self._readable

    @property
    def deadline(self) -> float:
        """When the task is given up; monotonic clock, s."""
        return self._local.deadline if self._sent is None else self._sent.deadline

    def start(self, task: object, message: object) -> None:
        """Send an order to the cluster; give anything else to the worker of this machine.

        Raises:
            OSError: the art cannot be read; WorkerTrouble: the scheduler cannot be reached.
        """
        if not isinstance(message, Job):
            self._local.start(task, message)
            return
        future = self._cluster.submit(pack(message))
        self._sent = _Sent(task=task, job=message, future=future, deadline=time.monotonic() + QUEUE_S)
        future.add_done_callback(self._say_done)

    def _say_done(self, _future: object) -> None:
        """Make `pipe` readable; called from a thread of Dask's client."""
        with contextlib.suppress(OSError):
            self._writable.send_bytes(b"!")

    def answer(self) -> Answer | None:
        """Give the answer and become idle; None while the task is under way."""
        if self._sent is None:
            return self._local.answer()
        while self._readable.poll():
            self._readable.recv_bytes()
        if not self._sent.future.done() and time.monotonic() < self._sent.deadline:
            return None
        sent, self._sent = self._sent, None
        if not sent.future.done():
            sent.future.cancel()
            name = one_line(sent.job.name)
            return Answer(trouble=f"no machine of the cluster made {name} within {QUEUE_S / 60:.0f} min")
        return self._fetch(sent)

    def _fetch(self, sent: _Sent) -> Answer:
        """Fetch what the cluster made and put it where a worker of this machine would have put it."""
        from distributed import KilledWorker

        try:
            packed = sent.future.result(timeout=_FETCH_S)
            if not isinstance(packed, PackedAnswer) or not is_answer_to(sent.job, packed.answer):
                return Answer(trouble="another machine sent what is no finished order")
            unpack(packed, sent.job)
            return packed.answer
        except KilledWorker:
            return Answer(died="several machines of the cluster broke down over it")
        except WorkerTrouble as error:
            return Answer(trouble=str(error))
        except OSError as error:
            lost = error.errno is None
            return Answer(trouble=self._cluster.say_lost(error) if lost else say_trouble(error))
        except Exception as error:  # the remote task ends here, and what Dask raises for a lost part has many names
            return Answer(trouble=self._cluster.say_lost(error), detail=f"{type(error).__name__}: {error}")

    def stop(self) -> None:
        """Disconnect from the cluster and stop the worker of this machine; a task under way is lost."""
        if self._sent is not None:
            with contextlib.suppress(Exception):  # a lost connection may fail to cancel in any way
                self._sent.future.cancel()
        self._sent = None
        self._local.stop()
        self._cluster.close()
