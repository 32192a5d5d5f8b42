"""Show what waits in the inbox: read as the service reads it, but nothing is taken."""

import time
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from pathlib import Path

from watcher.inbox.complete import Completeness, how_complete
from watcher.inbox.formats import CONTAINER
from watcher.inbox.found import Found
from watcher.inbox.names import read_name
from watcher.inbox.scan import SeenFile
from watcher.inbox.settle import Settling
from watcher.inbox.zip_members import MOST_TICKET_BYTES
from watcher.orders.gathered import Insides
from watcher.orders.inbox_reading import InboxQuery, InboxReading, read_inbox
from watcher.orders.mended import newer_files
from watcher.orders.model import GroupKey, Planned
from watcher.orders.quantity import say_cards
from watcher.orders.readings import group_key
from watcher.orders.say import why_it_waits
from watcher.records.timestamps import moment_of_ns
from watcher.settings.model import Settings
from watcher.status.model import InboxSummary, WaitingOrder, list_first
from watcher.status.pictures import is_shown_by_browsers, steps_to

MOST = 1000  # orders listed
_MOST_WALKED = 1000  # files whose end is looked for in one reading; more count as complete
_MOST_FILES = 20  # named of one order
_END_BYTES = 64 * 1024
_UNOPENED = "not looked at yet"


class InboxView:
    """Lists what waits in the inbox, and caches which files are complete."""

    def __init__(self) -> None:
        self._settling: Settling | None = None
        self._walks = 0

    def read(self, settings: Settings, insides: Insides) -> InboxSummary:
        """Read the inbox.

        Args:
            settings: of the print folder.
            insides: of ZIP, PDF and TIFF files, as far as they are known.
        """
        self._walks = 0
        try:
            reading = self._read(settings, insides)
        except OSError as error:
            return InboxSummary.of_an_unreadable(error)
        plans = [*reading.plans, *reading.gathered.unusable]
        waiting = [*_of_plans(plans, settings), *_of_files(reading, plans, settings)]
        waiting.sort(key=_longest_first)
        return InboxSummary(waiting=list_first(waiting, MOST), left_alone=list_first(reading.gathered.left_alone, MOST))

    def _read(self, settings: Settings, insides: Insides) -> InboxReading:
        if self._settling is None:
            self._settling = Settling(settings.service.quiet, self._how_complete)
        return read_inbox(
            InboxQuery(
                settings=settings,
                insides=insides,
                settling=self._settling,
                content=read_little,
                now=time.monotonic(),
                wall_now=time.time(),
            )
        )

    def _how_complete(self, path: Path) -> Completeness:
        self._walks += 1
        return how_complete(path) if self._walks <= _MOST_WALKED else Completeness.WHOLE


def read_little(found: Found) -> bytes:
    """Give the text of a job ticket, or of art its size and both ends: enough to tell two files apart for a list."""
    if found.text is not None:
        return found.text
    if found.member is not None:
        return found.member.sha256.encode("ascii")
    with found.file.path.open("rb") as file:
        if found.is_ticket:
            return file.read(MOST_TICKET_BYTES + 1)
        size = found.file.identity.size
        start = file.read(_END_BYTES)
        file.seek(max(0, size - _END_BYTES))
        return b"%d " % size + start + file.read(_END_BYTES)


def _of_plans(plans: Iterable[Planned], settings: Settings) -> Iterator[WaitingOrder]:
    for plan in plans:
        newer = newer_files(plan) or plan.files
        since = moment_of_ns(max((file.identity.ctime_ns for file in newer), default=0))
        yield WaitingOrder(
            order=plan.name,
            place=_place(newer[0], settings),
            missing=_missing(plan),
            arriving=plan.arriving,
            why=why_it_waits(plan),
            since=since,
            held_after=_held_after(plan, since, settings),
            files=tuple(file.name for file in newer[:_MOST_FILES]),
            due=plan.wishes.due,
            art=_art(newer, settings.folders.outbox),
            cards=say_cards(plan.wishes.quantity, from_card=plan.wishes.quantity_from_card),
            made_after=_later(since, settings.service.wait_for_other_side) if since and plan.waits_for else None,
        )


def _art(files: Sequence[SeenFile], outbox: Path) -> tuple[str, ...]:
    shown = (file.path for file in files if is_shown_by_browsers(file.name, file.identity.size))
    return next((steps_to(path, outbox) for path in shown), ())


def _missing(plan: Planned) -> str | None:
    """Say what has not come; of an order that waits for newer art, the side that is still the earlier one."""
    if plan.waits_for:
        sides = {str(piece.side) for piece in plan.earlier_pieces}
        return sides.pop() if len(sides) == 1 else None
    return None if plan.fault else plan.missing


def _held_after(plan: Planned, since: datetime | None, settings: Settings) -> datetime | None:
    """Say when a lone half is held; a half in a ZIP is held at once, hence None."""
    in_container = any(Path(file.name).suffix[1:].lower() == CONTAINER for file in plan.files)
    if plan.waits_for or since is None or not (plan.missing or plan.open_ended):
        return None
    if plan.fault or plan.arriving or in_container or (plan.came_in and plan.open_ended and not plan.missing):
        return None
    return _later(since, settings.service.wait_for_other_side)


def _of_files(reading: InboxReading, plans: Iterable[Planned], settings: Settings) -> Iterator[WaitingOrder]:
    """List files that can be put into no order yet, unless an order of their name is listed already."""
    listed = {group_key(plan.folder, plan.key) for plan in plans}
    in_folders = {folder.path for folder in reading.gathered.arriving_folders}
    for folder in reading.gathered.arriving_folders:
        yield _lone_file(folder.itself, settings, "a folder, still arriving", give_up_s=settings.service.give_up)
    for file in reading.rested.moving:
        if {file.path, file.path.parent}.isdisjoint(in_folders) and _key(file, settings) not in listed:
            yield _lone_file(file, settings, "still arriving", give_up_s=settings.service.give_up)
    for file in reading.gathered.to_look:
        if _key(file, settings) not in listed:
            yield _lone_file(file, settings, _UNOPENED)


def _key(file: SeenFile, settings: Settings) -> GroupKey:
    return group_key(file.folder, read_name(file.name, settings.names).key)


def _lone_file(file: SeenFile, settings: Settings, why: str, give_up_s: float | None = None) -> WaitingOrder:
    since = moment_of_ns(file.identity.ctime_ns)
    return WaitingOrder(
        order=file.name,
        place=_place(file, settings),
        missing=None,
        arriving=give_up_s is not None,
        why=why,
        since=since,
        held_after=_later(since, give_up_s) if since and give_up_s is not None else None,
        files=(file.name,),
    )


def _later(since: datetime, seconds: float) -> datetime | None:
    try:
        return since + timedelta(seconds=seconds)
    except OverflowError:  # a wait of ten thousand years
        return None


def _place(file: SeenFile, settings: Settings) -> str:
    folder, inbox = file.path.parent, settings.folders.inbox
    return inbox.name if folder == inbox else f"{folder.parent.name}/{folder.name}"


def _longest_first(order: WaitingOrder) -> tuple[float, str]:
    return (order.since.timestamp() if order.since else 0.0), order.order
