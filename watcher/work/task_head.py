"""What a worker's process is told of a task: all that it needs to have it done, and nothing of whose order it is.

It copies itself for each task, so whatever it had read would be in the memory of the next copy, too.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from watcher.archive.effective_settings import EffectiveSettings
from watcher.settings.amounts import Overs
from watcher.terms import Side
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Job, OrderCheck
from watcher.work.walls.places import places_of

PIECE_S = 2.0  # more for each file or page of art beyond a front and a back: one of 60 million pixels takes it


@dataclass(frozen=True, kw_only=True)
class OrderKind:
    """How an order is made; the next one is likely made the same way.

    Attributes:
        settings: what it is made with.
        quantity: finished cards.
        overs: spare cards on top.
        endings: of the names of its files, lower case and without the dot.
        read_back: whether the sheets are compared with the art by sight.
    """

    settings: EffectiveSettings
    quantity: int
    overs: Overs | None
    endings: Mapping[Side, str]
    read_back: bool


@dataclass(frozen=True, kw_only=True)
class TaskHead:
    """What goes before a task.

    Attributes:
        more_s: seconds of processor time beyond the usual that it may take.
        is_brief: it needs little, and an order comes after it.
        building: folders that are made for it, and removed again where nothing is built in them.
        kind: that of an order of one design; None for any other task.
    """

    more_s: float = 0.0
    is_brief: bool = False
    building: tuple[Path, ...] = ()
    kind: OrderKind | None = None


def head_of(message: object) -> TaskHead:
    """Give what goes before a task."""
    return TaskHead(
        more_s=more_for(message),
        is_brief=isinstance(message, InspectFile),
        building=places_of(message).writable,
        kind=_kind_of(message) if isinstance(message, Job) and not message.order.is_by_design else None,
    )


def more_for(message: object) -> float:
    """Give the seconds that a task may take beyond the usual, because its order has many designs."""
    job = message.job if isinstance(message, OrderCheck) else message
    pieces = len(job.order.wanted_art) if isinstance(job, Job) else 0
    return PIECE_S * max(0, pieces - 2)


def _kind_of(job: Job) -> OrderKind:
    return OrderKind(
        settings=job.settings,
        quantity=job.order.wishes.quantity,
        overs=job.order.wishes.overs,
        endings={source.side: _ending(source.file) for source in job.order.wanted_art},
        read_back=job.read_back,
    )


def _ending(file: str) -> str:
    return Path(file).suffix.lower().removeprefix(".").replace("jpeg", "jpg")
