"""The connection to a Dask cluster, which makes orders on other machines.

An optional part (`pip install 'print-folder-watcher[dask]'`). Dask brings orders to its workers and their products
back, and gives an order to another worker when one dies; this program delivers what comes back, once.
"""

import contextlib
import uuid
import warnings
from typing import Any

from watcher.records.plain_text import one_line
from watcher.records.trouble import WorkerTrouble
from watcher.work.packing import PackedJob, make_packed

CONNECT_S = 5.0


class Cluster:
    """The connection to the scheduler: made when it is first needed, and anew when it was lost.

    Args:
        address: of the scheduler, `tcp://` or `tls://`. Keys and certificates come from Dask's own configuration.
    """

    def __init__(self, address: str) -> None:
        self._address = address
        self._client: Any = None

    def submit(self, packed: PackedJob) -> Any:
        """Send an order to the cluster; gives the Dask future of a `PackedAnswer`.

        Raises:
            WorkerTrouble: the scheduler cannot be reached.
        """
        client, key = self._open(), f"{packed.job.name}-{uuid.uuid4().hex}"
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # that art is large is no surprise
            return client.submit(make_packed, packed, key=key, pure=False)

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
        """Say that the scheduler cannot be reached, and why, in words for people."""
        why = f" ({one_line(str(error), 120)})" if error is not None and str(error) else ""
        return f"the scheduler at {self._address} cannot be reached{why}. Start it, or correct scheduler in [service]"

    def close(self) -> None:
        """Close the connection; the next order opens another."""
        client, self._client = self._client, None
        if client is not None:
            with contextlib.suppress(Exception):  # a lost connection may fail to close in any way; it is gone anyhow
                client.close(timeout=1)
