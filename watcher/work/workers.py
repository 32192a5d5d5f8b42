"""The workers that the settings ask for: on this machine, or on a cluster."""

from collections.abc import Callable, Sequence

from loguru import logger

from watcher.errors import ServiceStopped
from watcher.records.machine import Machine
from watcher.settings.service import ServiceSettings
from watcher.terms import Engine
from watcher.work.cluster import Cluster
from watcher.work.contract import Worker
from watcher.work.local_worker import LocalWorker
from watcher.work.remote_worker import RemoteWorker

# What the system and the service keep for themselves, and what a worker with an order of usual size takes (measured:
# 100 MB that its process holds, 100 to 200 for a front and a back of 5 x 7 in at 300 ppi).
_FOR_OTHERS_BYTES, _WORKER_BYTES = 250_000_000, 300_000_000


def is_local(settings: ServiceSettings) -> bool:
    """Whether orders are made on this computer."""
    return settings.engine is Engine.LOCAL


def how_many(wanted: int, machine: Machine) -> int:
    """Give how many of the wanted workers a computer can bear: no more than it has cores, and memory for."""
    most = min(wanted, machine.cores)
    if machine.memory_bytes is not None:
        most = min(most, (machine.memory_bytes - _FOR_OTHERS_BYTES) // _WORKER_BYTES)
    return max(1, most)


def workers_for(settings: ServiceSettings, machine: Machine) -> Sequence[Worker]:
    """Give the workers that the settings ask for, as many as the computer can bear, none of them started yet.

    Raises:
        ServiceStopped: the settings ask for a cluster, and the part for it is not installed.
    """
    match settings.engine:
        case Engine.LOCAL:
            return [LocalWorker() for _ in range(_as_many_as_it_bears(settings.workers, machine))]
        case Engine.DASK:
            cluster = _dask_cluster(settings)
            return [RemoteWorker(cluster, LocalWorker()) for _ in range(settings.workers)]


def _as_many_as_it_bears(wanted: int, machine: Machine) -> int:
    """How many workers there will be; it is logged where these are fewer than are wanted."""
    count = how_many(wanted, machine)
    if count < wanted:
        logger.info(
            "{wanted} orders at the same time are more than this computer can bear (cores: {cores}, memory:"
            " {memory:,.0f} MB): {count}",
            wanted=wanted,
            cores=machine.cores,
            memory=(machine.memory_bytes or 0) / 1e6,
            count=count,
        )
    return count


def _dask_cluster(settings: ServiceSettings) -> Cluster:
    try:
        import distributed  # noqa: F401
    except ImportError as error:
        raise ServiceStopped(
            'engine = "dask" needs a part that is not installed: pip install "print-folder-watcher[dask]".'
        ) from error
    assert settings.scheduler is not None  # the settings are checked
    return Cluster(settings.scheduler)


def spare_worker_for(settings: ServiceSettings) -> Callable[[], Worker] | None:
    """Give what makes one worker more for this machine; None for a cluster, which has its own way with slow orders."""
    return LocalWorker if is_local(settings) else None
