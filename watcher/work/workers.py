"""The workers that the settings ask for: on this machine, or on a cluster."""

from collections.abc import Callable, Sequence

from watcher.errors import ServiceStopped
from watcher.settings.model import ServiceSettings
from watcher.terms import Engine
from watcher.work.cluster import Cluster
from watcher.work.contract import Worker
from watcher.work.local_worker import LocalWorker
from watcher.work.remote_worker import RemoteWorker


def workers_for(settings: ServiceSettings) -> Sequence[Worker]:
    """Give the workers that the settings ask for, none of them started yet.

    Raises:
        ServiceStopped: the settings ask for a cluster, and the part for it is not installed.
    """
    if settings.engine is Engine.LOCAL:
        return [LocalWorker() for _ in range(settings.workers)]
    try:
        import distributed  # noqa: F401
    except ImportError as error:
        raise ServiceStopped(
            'engine = "dask" needs a part that is not installed: pip install "print-folder-watcher[dask]".'
        ) from error
    assert settings.scheduler is not None  # the settings are checked
    cluster = Cluster(settings.scheduler)
    return [RemoteWorker(cluster, LocalWorker()) for _ in range(settings.workers)]


def spare_worker_for(settings: ServiceSettings) -> Callable[[], Worker] | None:
    """Give what makes one worker more for this machine; None for a cluster, which has its own way with slow orders."""
    return LocalWorker if settings.engine is Engine.LOCAL else None
