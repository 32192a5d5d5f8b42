"""An order packed for another machine, made there, and its product packed to come back: bytes in, bytes out.

Making an order is a pure function of its art, its settings and its ticket (`pipeline.make`), so that all that changes
on another machine is where the files lie. There too the art is opened in a limited child process.
"""

import multiprocessing
import platform
import tempfile
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from watcher import __version__
from watcher.archive.order_ticket import TICKET_SUFFIX
from watcher.outbox.product import write_product
from watcher.work.answer import Answer
from watcher.work.job import Job
from watcher.work.workers import Worker

_OF_THIS_THREAD = threading.local()


@dataclass(frozen=True, kw_only=True)
class Parcel:
    """An order on its way to another machine.

    Attributes:
        software: version of this program that packed it.
        job: what the worker there is told; its paths are those of here.
        files: the files of the order's folder.
        common: the files that every order of its card shares, in the order of `job.common`.
    """

    software: str
    job: Job
    files: Mapping[str, bytes]
    common: tuple[bytes, ...]


@dataclass(frozen=True, kw_only=True)
class Returned:
    """What comes back.

    Attributes:
        answer: how it went.
        product: the files of the finished order, the ticket last; empty when it was not made.
        beside: what was laid beside the art.
    """

    answer: Answer
    product: Mapping[str, bytes] = field(default_factory=dict)
    beside: Mapping[str, bytes] = field(default_factory=dict)


def pack(job: Job) -> Parcel:
    """Pack an order with all files that it is made from.

    Raises:
        OSError: a file cannot be read.
    """
    names = dict.fromkeys(source.file for source in job.order.wanted_art)
    return Parcel(
        software=__version__,
        job=job,
        files={name: (job.folder / name).read_bytes() for name in names},
        common=tuple(path.read_bytes() for _, path in job.common),
    )


def unpack(returned: Returned, job: Job) -> None:
    """Put what came back where a worker of this machine would have put it.

    Raises:
        OSError: the disk.
        ValueError: a name that is no plain file name.
    """
    for name in (*returned.product, *returned.beside):
        if Path(name).name != name or name in (".", ".."):
            raise ValueError(f"another machine sent a file called {name!r}")
    for name, data in returned.beside.items():
        (job.folder / name).write_bytes(data)
    if returned.product:
        write_product(job.building, returned.product)


def make_parcel(parcel: Parcel) -> Returned:
    """Make an order that came from another machine; runs on a worker of the cluster."""
    here = platform.node() or "a machine"
    if parcel.software != __version__:
        return _refused(
            f"{here} has version {__version__} of print-folder, this one {parcel.software}. Install the same on all"
        )
    if multiprocessing.current_process().daemon:
        return _refused(
            f"the Dask worker on {here} may start no process of its own. Start it with"
            " DASK_DISTRIBUTED__WORKER__DAEMON=False"
        )
    with tempfile.TemporaryDirectory(prefix="print-folder-") as folder:
        return _make_in(Path(folder), parcel)


def _refused(why: str) -> Returned:
    return Returned(answer=Answer(trouble=why))


def _make_in(folder: Path, parcel: Parcel) -> Returned:
    art, building, common = folder / "art", folder / "product", folder / "common"
    art.mkdir()
    common.mkdir()
    for name, data in parcel.files.items():
        (art / name).write_bytes(data)
    shared = []
    for (side, path), data in zip(parcel.job.common, parcel.common, strict=True):
        (common / f"{side}{path.suffix}").write_bytes(data)
        shared.append((side, common / f"{side}{path.suffix}"))
    answer = _answer_of(replace(parcel.job, folder=art, building=building, common=tuple(shared)))
    beside = {file.name: file.read_bytes() for file in art.iterdir() if file.name not in parcel.files}
    return Returned(answer=answer, product=_product(building), beside=beside)


def _answer_of(job: Job) -> Answer:
    """What a limited child process says of the job. A thread of a Dask worker keeps one: starting it is slow."""
    worker: Worker = getattr(_OF_THIS_THREAD, "worker", None) or Worker()
    _OF_THIS_THREAD.worker = worker
    worker.start(job, job)
    while (answer := worker.answer()) is None:
        if worker.pipe is not None:
            worker.pipe.poll(1.0)
    return answer


def _product(building: Path) -> dict[str, bytes]:
    """The finished files, the ticket last: its presence says that the rest is there."""
    files = sorted(building.iterdir()) if building.is_dir() else []
    files.sort(key=lambda file: file.name.endswith(TICKET_SUFFIX))
    return {file.name: file.read_bytes() for file in files}
