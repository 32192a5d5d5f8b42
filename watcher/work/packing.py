"""Pack an order as bytes for another machine, make it there, and unpack its product here.

An order is made from its art, its settings and its ticket alone (`make_order.make`): on another machine only the place
of the files differs. There too the art is opened in a child process with limits.
"""

import multiprocessing
import platform
import tempfile
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from watcher import __version__
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.outbox.product import write_product
from watcher.work.answer import Answer
from watcher.work.job import Job
from watcher.work.local_worker import LocalWorker

_THREAD = threading.local()


@dataclass(frozen=True, kw_only=True)
class PackedJob:
    """An order with the bytes of all files that it is made from.

    Attributes:
        software: version of this program that packed it.
        job: the order; its paths are those of the machine that packed it.
        files: the files of the order's folder.
        common: the files that every order of its card shares, in the order of `job.common`.
    """

    software: str
    job: Job
    files: Mapping[str, bytes]
    common: tuple[bytes, ...]


@dataclass(frozen=True, kw_only=True)
class PackedAnswer:
    """What another machine made of an order.

    Attributes:
        answer: how the task ended.
        product: the files of the finished order, the ticket last; empty when it was not made.
        beside: files that were written into the folder of the art.
    """

    answer: Answer
    product: Mapping[str, bytes] = field(default_factory=dict)
    beside: Mapping[str, bytes] = field(default_factory=dict)


def pack(job: Job) -> PackedJob:
    """Read all files that an order is made from.

    Raises:
        OSError: a file cannot be read.
    """
    names = dict.fromkeys(source.file for source in job.order.wanted_art)
    return PackedJob(
        software=__version__,
        job=job,
        files={name: (job.folder / name).read_bytes() for name in names},
        common=tuple(path.read_bytes() for _, path in job.common),
    )


def unpack(packed: PackedAnswer, job: Job) -> None:
    """Write an answer's files where a worker of this machine would have written them.

    Raises:
        OSError: the disk.
        ValueError: a name that is no plain file name.
    """
    for name in (*packed.product, *packed.beside):
        if Path(name).name != name or name in (".", ".."):
            raise ValueError(f"another machine sent a file called {name!r}")
    for name, data in packed.beside.items():
        (job.folder / name).write_bytes(data)
    if packed.product:
        write_product(job.building, packed.product)


def make_packed(packed: PackedJob) -> PackedAnswer:
    """Make an order that was packed on another machine; runs on a worker of the cluster."""
    here = platform.node() or "a machine"
    if packed.software != __version__:
        return _refused(
            f"{here} has version {__version__} of print-folder, this one {packed.software}. Install the same on all"
        )
    if multiprocessing.current_process().daemon:
        return _refused(
            f"the Dask worker on {here} may start no process of its own. Start it with"
            " DASK_DISTRIBUTED__WORKER__DAEMON=False"
        )
    with tempfile.TemporaryDirectory(prefix="print-folder-") as folder:
        return _make_in(Path(folder), packed)


def _refused(why: str) -> PackedAnswer:
    return PackedAnswer(answer=Answer(trouble=why))


def _make_in(folder: Path, packed: PackedJob) -> PackedAnswer:
    art, building, common = folder / "art", folder / "product", folder / "common"
    art.mkdir()
    common.mkdir()
    for name, data in packed.files.items():
        (art / name).write_bytes(data)
    shared = []
    for (side, path), data in zip(packed.job.common, packed.common, strict=True):
        (common / f"{side}{path.suffix}").write_bytes(data)
        shared.append((side, common / f"{side}{path.suffix}"))
    answer = _answer_of(replace(packed.job, folder=art, building=building, common=tuple(shared)))
    beside = {file.name: file.read_bytes() for file in art.iterdir() if file.name not in packed.files}
    return PackedAnswer(answer=answer, product=_product(building), beside=beside)


def _answer_of(job: Job) -> Answer:
    """Make the order in a child process with limits; each thread of a Dask worker keeps its own."""
    worker: LocalWorker = getattr(_THREAD, "worker", None) or LocalWorker()
    _THREAD.worker = worker
    worker.start(job, job)
    while (answer := worker.answer()) is None:
        if worker.pipe is not None:
            worker.pipe.poll(1.0)
    return answer


def _product(building: Path) -> dict[str, bytes]:
    """Read the finished files, the ticket last: once it is there, the rest is."""
    files = sorted(building.iterdir()) if building.is_dir() else []
    files.sort(key=lambda file: file.name.endswith(TICKET_SUFFIX))
    return {file.name: file.read_bytes() for file in files}
