"""Orders made on other machines: hands that look to the service like its own workers, with a Dask cluster behind them.

An optional part (`pip install 'print-folder-watcher[dask]'`). Dask brings orders to its workers and their products
back, and gives an order to another worker when one dies; this program delivers what comes back, once. Nothing that was
dropped is opened here: ZIP and PDF files are looked into by a worker of this machine, as ever.
"""

import contextlib
import multiprocessing
import time
import uuid
import warnings
from collections.abc import Sequence
from multiprocessing.connection import Connection
from typing import Any

from watcher.errors import ServiceStopped
from watcher.records.plain_text import one_line
from watcher.records.trouble import WorkerTrouble, say_trouble
from watcher.settings.model import ServiceSettings
from watcher.terms import Engine
from watcher.work.answer import Answer
from watcher.work.job import Job
from watcher.work.remote_worker import Returned, make_parcel, pack, unpack
from watcher.work.workers import Worker

CONNECT_S = 5.0
QUEUE_S = 900.0  # an order that no machine has made by then is asked for anew
_FETCH_S = 60.0  # for the product of one order to come over the network


def hire(settings: ServiceSettings) -> "Sequence[AnyWorker]":
    """The workers that the settings ask for, none of them started yet.

    Raises:
        ServiceStopped: the settings ask for a cluster, and the part for it is not installed.
    """
    if settings.engine is Engine.LOCAL:
        return [Worker() for _ in range(settings.workers)]
    try:
        import distributed  # noqa: F401
    except ImportError as error:
        raise ServiceStopped(
            'engine = "dask" needs a part that is not installed: pip install "print-folder-watcher[dask]".'
        ) from error
    assert settings.scheduler is not None  # the settings are checked
    cluster = Cluster(settings.scheduler)
    return [Hand(cluster) for _ in range(settings.workers)]


class Cluster:
    """The connection to the scheduler: made when it is first needed, and anew when it was lost.

    Args:
        address: of the scheduler, `tcp://` or `tls://`. Keys and certificates come from Dask's own configuration.
    """

    def __init__(self, address: str) -> None:
        self._address = address
        self._client: Any = None

    def submit(self, parcel: Any, name: str) -> Any:
        """Give an order to the cluster; the future of what comes back.

        Raises:
            WorkerTrouble: the scheduler cannot be reached.
        """
        client = self._open()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # that art is large is no surprise
            return client.submit(make_parcel, parcel, key=f"{name}-{uuid.uuid4().hex}", pure=False)

    def _open(self) -> Any:
        from distributed import Client

        if self._client is not None and self._client.status == "running":
            return self._client
        self.close()
        try:
            self._client = Client(  # type: ignore[no-untyped-call]
                self._address, timeout=CONNECT_S, set_as_default=False, name="print-folder"
            )
        except (OSError, ValueError, TimeoutError) as error:
            raise WorkerTrouble(self.say_lost(error)) from error
        return self._client

    def say_lost(self, error: BaseException | None = None) -> str:
        """That the scheduler is out of reach, in words."""
        why = f" ({one_line(str(error), 120)})" if error is not None and str(error) else ""
        return f"the scheduler at {self._address} cannot be reached{why}. Start it, or correct scheduler in [service]"

    def close(self) -> None:
        """Let go of the connection."""
        client, self._client = self._client, None
        if client is not None:
            with contextlib.suppress(Exception):  # it is lost: whatever its closing says is no news
                client.close(timeout=1)


class Hand:
    """One order at a time on the cluster; same attributes as `workers.Worker`, which it uses for everything else."""

    def __init__(self, cluster: Cluster) -> None:
        self._cluster, self._local = cluster, Worker()
        self._job: Job | None = None
        self._future: Any = None
        self._deadline = 0.0
        self._bell, self._rope = multiprocessing.Pipe(duplex=False)

    @property
    def task(self) -> Any:
        """What is in hand, or None."""
        return self._local.task

    @task.setter
    def task(self, task: Any) -> None:
        self._local.task = task

    @property
    def is_idle(self) -> bool:
        """Whether it can take a task."""
        return self.task is None

    @property
    def pipe(self) -> "Connection[Any, Any] | None":
        """What becomes readable when there is an answer."""
        return self._bell if self._future is not None else self._local.pipe

    @property
    def deadline(self) -> float:
        """When the task in hand is given up, monotonic."""
        return self._deadline if self._future is not None else self._local.deadline

    def start(self, task: Any, message: object) -> None:
        """Send an order to the cluster; anything else to a worker of this machine.

        Raises:
            OSError: the art cannot be read; WorkerTrouble: the scheduler cannot be reached.
        """
        if not isinstance(message, Job):
            self._local.start(task, message)
            return
        future = self._cluster.submit(pack(message), message.name)
        self._job, self._future, self.task = message, future, task
        self._deadline = time.monotonic() + QUEUE_S
        future.add_done_callback(self._ring)

    def _ring(self, _future: object) -> None:
        """Called from a thread of the client."""
        with contextlib.suppress(OSError):
            self._rope.send_bytes(b"!")

    def answer(self) -> Answer | None:
        """The answer, once it is there; None while the task is under way."""
        if self._future is None:
            return self._local.answer()
        while self._bell.poll():
            self._bell.recv_bytes()
        if not self._future.done() and time.monotonic() < self._deadline:
            return None
        future, job, self._future, self._job, self.task = self._future, self._job, None, None, None
        assert job is not None
        if not future.done():
            future.cancel()
            return Answer(trouble=f"no machine of the cluster made {one_line(job.name)} within {QUEUE_S / 60:.0f} min")
        return self._taken_in(future, job)

    def _taken_in(self, future: Any, job: Job) -> Answer:
        from distributed import KilledWorker

        try:
            returned = future.result(timeout=_FETCH_S)
            if not isinstance(returned, Returned):
                return Answer(trouble="another machine sent what is no finished order")
            unpack(returned, job)
            return returned.answer
        except KilledWorker:
            return Answer(died="several machines of the cluster broke down over it")
        except WorkerTrouble as error:
            return Answer(trouble=str(error))
        except OSError as error:
            lost = error.errno is None
            return Answer(trouble=self._cluster.say_lost(error) if lost else say_trouble(error))
        except Exception as error:  # what the cluster raises when a part of it is gone has many names
            return Answer(trouble=self._cluster.say_lost(error), detail=f"{type(error).__name__}: {error}")

    def stop(self) -> None:
        """Let go of the cluster and end the worker of this machine; a task in hand is lost."""
        if self._future is not None:
            with contextlib.suppress(Exception):
                self._future.cancel()
        self._future = self._job = None
        self._local.stop()
        self._cluster.close()


AnyWorker = Worker | Hand
