"""Read what lies in the inbox now, and in held, as orders; nothing on the disk is changed."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from watcher.inbox.found import Found
from watcher.inbox.scan import Scan, SeenFile, scan
from watcher.inbox.settle import Rested, Settling
from watcher.orders.gather import gather
from watcher.orders.gathered import Gathered, Insides, ToGather
from watcher.orders.held_note import is_held_order
from watcher.orders.model import Planned
from watcher.orders.pairing import pair_sides
from watcher.orders.returned import ReturnedFolder, held_folders, returned_folders
from watcher.settings.model import Settings


@dataclass(frozen=True, kw_only=True)
class InboxQuery:
    """What is needed to read an inbox.

    Attributes:
        settings: of the print folder.
        insides: of ZIP, PDF and TIFF files, as far as they are known.
        settling: remembers from reading to reading which files of the inbox have rested.
        settling_held: the same for files in `held`; None: they count as rested.
        content: gives a job ticket's text, or what tells two files of art apart.
        now: steady clock, s.
        wall_now: time of day, s, where files that rested before count as rested (see `Settling.update`); else None.
        waited_s: tells how long a folder that came back in part has been waited for; None: none is given up.
    """

    settings: Settings
    insides: Insides
    settling: Settling
    content: Callable[[Found], bytes]
    now: float
    wall_now: float | None = None
    settling_held: Settling | None = None
    waited_s: Callable[[Path], float] | None = None


@dataclass(frozen=True, kw_only=True)
class InboxReading:
    """What lies in the inbox.

    Attributes:
        plans: orders, complete or not, their sides paired.
        gathered: the files that they were paired from, and what is no order's; its `unusable` are held orders to be.
        rested: which files have rested.
        returned: held orders that lie in the inbox again.
    """

    plans: tuple[Planned, ...]
    gathered: Gathered
    rested: Rested
    returned: tuple[ReturnedFolder, ...]


def read_inbox(query: InboxQuery) -> InboxReading:
    """Read the inbox and pair what lies in it, with what lies in held and may go with it.

    Raises:
        OSError: the inbox or a file in it cannot be read.
    """
    settings = query.settings
    seen = scan(settings.folders.inbox, settings.cards, is_held_order)
    returned = returned_folders(seen)
    held = held_folders(settings.folders.held)
    files = [*seen.files, *(file for folder in returned for file in folder.files), *in_folders(seen, returned)]
    rested = query.settling.update(files, query.now, query.wall_now)
    gathered = gather(
        ToGather(
            scan=seen,
            rested=rested,
            returned=returned,
            held=held,
            insides=query.insides,
            words=settings.names,
            give_up_s=float("inf") if query.waited_s is None else settings.service.give_up,
            overdue=_overdue(query, returned),
            moving_in_held=_moving(query, held),
        )
    )
    plans = tuple(pair_sides(gathered.table, settings, query.content))
    return InboxReading(plans=plans, gathered=gathered, rested=rested, returned=returned)


def in_folders(seen: Scan, returned: tuple[ReturnedFolder, ...]) -> Iterator[SeenFile]:
    """What lies in folders that were never held; and the folders, which must rest as a whole."""
    came_back = {folder.path for folder in returned}
    for folder in seen.folders:
        if folder.path not in came_back and not folder.has_held_toml and not folder.strange:
            yield folder.itself
            yield from (*folder.seen_files, *folder.unfinished)


def _overdue(query: InboxQuery, returned: tuple[ReturnedFolder, ...]) -> frozenset[Path]:
    """The folders that came back in part and have been waited for long enough."""
    waited_s, limit_s = query.waited_s, query.settings.service.give_up
    if waited_s is None:
        return frozenset()
    return frozenset(folder.path for folder in returned if waited_s(folder.path) >= limit_s)


def _moving(query: InboxQuery, held: tuple[ReturnedFolder, ...]) -> frozenset[Path]:
    """The files in held that have not rested."""
    if query.settling_held is None:
        return frozenset()
    files = (file for folder in held for file in folder.files)
    return frozenset(file.path for file in query.settling_held.update(files, query.now, query.wall_now).moving)
