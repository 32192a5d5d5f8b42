"""Deliver a gang run: the art of each order to the archive, one after the other, then the folder to the outbox.

While it is built the folder holds, hidden, the taking number of each order. With it and with the tickets of all orders
a delivery that was cut short is completed from the folders alone; one that had not begun is dropped and made again.
"""

import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.archive.ticket_reader import OrderTicket, read_ticket
from watcher.disk import (
    free_name,
    is_bare_name,
    move_folder,
    read_regular_file,
    remove_file,
    sync_folder,
    write_durably,
)
from watcher.orders.claim import taking_folder
from watcher.orders.held_note import FILE_NAME as HELD_NOTE
from watcher.orders.held_note import WHY_NAME
from watcher.outbox.product import BUILDING, NUMBERS
from watcher.outbox.publish import NameTaken, is_taken, publish
from watcher.records.plain_text import as_utf8
from watcher.steps import Step, reached

_RUN_BUILDING = f"{BUILDING}run-"
_LARGEST = 1024 * 1024  # bytes of the hidden list; a name and a number for each order


@dataclass(frozen=True, kw_only=True)
class RunFolder:
    """A finished run in its building folder.

    Attributes:
        building: where it lies.
        run: its name in the outbox.
        numbers: the taking number of each order, by the order's name in the archive.
    """

    building: Path
    run: str
    numbers: Mapping[str, int]


def run_building_folder(archive: Path, number: int) -> Path:
    """Where a run is built whose first order has this number."""
    return archive / f"{_RUN_BUILDING}{number}"


def numbers_file(numbers: Mapping[str, int]) -> bytes:
    """The content of the hidden list."""
    return json.dumps(dict(numbers)).encode("ascii")


def deliver_run(folder: RunFolder, *, archive: Path, outbox: Path) -> None:
    """Deliver a finished run and the art of its orders. Safe to call again after a crash inside.

    The claims' notes stay, until everybody has been told.

    Raises:
        NameTaken: somebody has made a folder of one of the names meanwhile; nothing has been moved.
        OSError: disk or rights; call again later.
    """
    waiting = {name: number for name, number in folder.numbers.items() if taking_folder(archive, number).exists()}
    if waiting and len(waiting) == len(folder.numbers):
        for name in (folder.run, *waiting):
            if is_taken(name, [archive, outbox]):
                raise NameTaken(name)
    for name, number in waiting.items():
        _archive(folder.building / (name + TICKET_SUFFIX), name, taking_folder(archive, number), archive)
    if folder.building.exists():
        remove_file(folder.building / NUMBERS, missing_ok=True)
        sync_folder(folder.building)
        reached(Step.UNLISTED)
        publish(folder.building, outbox / free_name(folder.run, lambda name: is_taken(name, [outbox])))


def _archive(ticket: Path, name: str, taking: Path, archive: Path) -> None:
    for left_over in (WHY_NAME, HELD_NOTE):  # a hold that a crash cut short
        remove_file(taking / left_over, missing_ok=True)
    data = ticket.read_bytes()
    # the name was free when the delivery began; others of the run lie in the archive already, so there is no way back
    name = free_name(name, lambda name: os.path.lexists(archive / name))
    write_durably(taking / (name + TICKET_SUFFIX), data)
    reached(Step.TICKET_KEPT)
    move_folder(taking, archive / name)
    reached(Step.ARCHIVED)


def runs_cut_short(archive: Path) -> Iterator[RunFolder]:
    """Every run whose delivery had begun: it is whole, and the art of at least one of its orders is archived."""
    for building in sorted(archive.glob(f"{_RUN_BUILDING}*")):
        tickets = _tickets(building)
        if not tickets or not _is_whole(tickets):
            continue
        if any(_is_archived(building, name, archive) for name in tickets):
            run, numbers = next(iter(tickets.values())).run, _numbers(building)
            if run and numbers is not None:
                yield RunFolder(building=building, run=run, numbers=numbers)


def _tickets(building: Path) -> dict[str, OrderTicket]:
    read = {file.name: read_ticket(file) for file in building.glob(f"*{TICKET_SUFFIX}")}
    return {name.removesuffix(TICKET_SUFFIX): ticket for name, ticket in read.items() if ticket is not None}


def _is_whole(tickets: Mapping[str, OrderTicket]) -> bool:
    names = {as_utf8(name) for name in tickets}  # a ticket is text; a name on disk may be none
    return all(set(ticket.run_orders) == names for ticket in tickets.values())


def _is_archived(building: Path, name: str, archive: Path) -> bool:
    kept = archive / name / (name + TICKET_SUFFIX)
    return kept.is_file() and kept.read_bytes() == (building / (name + TICKET_SUFFIX)).read_bytes()


def _numbers(building: Path) -> dict[str, int] | None:
    """The hidden list; None for what is none of ours: others may write to the archive.

    It goes last before the run is published, when the art of all orders has been archived.
    """
    file = building / NUMBERS
    if not os.path.lexists(file):
        return {}
    read = read_regular_file(file, _LARGEST)
    try:
        numbers = json.loads(read[0]) if read else None
    except (ValueError, RecursionError):
        return None
    if not isinstance(numbers, dict) or not all(type(number) is int for number in numbers.values()):
        return None
    return numbers if all(is_bare_name(name) for name in numbers) else None
