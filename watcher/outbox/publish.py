"""Delivery: built aside, flushed, and there under its final name by one rename; the archive first, then the outbox."""

import os
import re
from collections.abc import Iterable
from pathlib import Path

from watcher.disk import move_folder, write_durably
from watcher.orders.claim import note_of, taking_folder
from watcher.orders.held_note import FILE_NAME as HELD_NOTE
from watcher.orders.held_note import WHY_NAME, read_held_note
from watcher.outbox.product import building_folder
from watcher.records.ticket import TICKET_SUFFIX
from watcher.steps import Step, reached

_SHEETS = re.compile(r"_(?:layout-(?P<layout>[0-9]+)_)?(?P<kind>sheets|1-fronts|2-backs)\.pdf")


class NameTaken(Exception):
    """The name that was free when an order was begun is not free any more."""


def deliver(number: int, name: str, *, archive: Path, outbox: Path) -> None:
    """Give a finished order its final names. Safe to call again after a crash at any point inside.

    The art goes to the archive first: from then on the order can be made again whatever happens to the rest.

    Raises:
        NameTaken: somebody has made a folder of that name meanwhile; nothing has been moved.
        OSError: disk or rights; call again later.
    """
    building = building_folder(outbox, number)
    taking = taking_folder(archive, number)
    if taking.exists():
        if is_taken(name, [archive, outbox]):
            raise NameTaken(name)
        _drop_traces_of_hold(taking)
        ticket = name + TICKET_SUFFIX
        write_durably(taking / ticket, (building / ticket).read_bytes())
        reached(Step.TICKET_KEPT)
        move_folder(taking, archive / name)
        reached(Step.ARCHIVED)
    if building.exists():
        move_folder(building, outbox / name)
        reached(Step.PUBLISHED)
    note_of(archive, number).unlink(missing_ok=True)
    reached(Step.FORGOTTEN)


def _drop_traces_of_hold(taking: Path) -> None:
    """What a try to set the order aside left in its folder when a crash cut it short."""
    note = read_held_note(taking)
    for name in (*(note.pictures if note else ()), WHY_NAME, HELD_NOTE):
        (taking / name).unlink(missing_ok=True)


def sheet_files(outbox: Path, name: str) -> list[Path]:
    """The sheets of an order that lie in the outbox now, in the order in which they are printed."""
    kinds = {file: sheet_kind(name, file.name) for file in (outbox / name).glob("*.pdf") if file.is_file()}
    return [file for _, file in sorted((kind, file) for file, kind in kinds.items() if kind is not None)]


def sheet_kind(folder: str, file: str) -> tuple[int, str] | None:
    """Which layout's sheets a file holds (0: there is but one) and which sides; None when it holds no sheets."""
    found = _SHEETS.fullmatch(file.removeprefix(folder)) if file.startswith(folder) else None
    return (int(found["layout"] or 0), found["kind"]) if found else None


def still_there(outbox: Path, name: str) -> bool:
    """Whether an order's sheets have not been collected yet."""
    return bool(sheet_files(outbox, name))


def is_taken(name: str, folders: Iterable[Path]) -> bool:
    """Whether a name is in use in any of the folders."""
    return any(os.path.lexists(folder / name) for folder in folders)


def point_to_newer(outbox: Path, earlier: str, newer: str, order: str | None = None) -> None:
    """Leave a note in an uncollected folder that other art of the same name (in a run: `order`) has been made since."""
    file = outbox / earlier / f"NEWER ART IN {newer}.txt"
    name = "the same name" if order is None else f"the name {order}"
    text = f"Other art came in under {name} after these sheets were made.\nIts sheets are in the folder {newer}.\n"
    write_durably(file, text.encode("utf-8"))
