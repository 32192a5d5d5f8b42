"""Deliver a finished order: one rename gives it its final name, in the archive first, then in the outbox."""

import errno
import os
import shutil
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path

from watcher.archive.folder_words import folder_of, sheet_kind
from watcher.archive.ticket_file import LARGEST_TICKET, TICKET_SUFFIX
from watcher.disk import move_folder, read_regular_file, remove_file, write_durably
from watcher.orders.claim import taking_folder
from watcher.orders.held_note import FILE_NAME as HELD_NOTE
from watcher.orders.held_note import WHY_NAME, read_held_note
from watcher.outbox.product import building_folder
from watcher.records.plain_text import one_line
from watcher.steps import Step, reached

_TRIES = 5  # to bring a product to another disk, while somebody takes files out of it there


class NameTaken(Exception):
    """The name that was free when an order was begun is not free any more."""


class TakenTooSoon(OSError):
    """Somebody empties the outbox, hidden folders too, faster than a product can be copied into it."""


def deliver(number: int, name: str, *, archive: Path, outbox: Path) -> None:
    """Give a finished order its final names. Safe to call again after a crash at any point inside.

    The art goes to the archive first: from then on the order can be made again whatever happens to the rest. The
    claim's note stays, until everybody has been told.

    Raises:
        NameTaken: somebody has made a folder of that name meanwhile; nothing has been moved.
        OSError: disk or rights; call again later.
    """
    building = building_folder(archive, number)
    taking = taking_folder(archive, number)
    if taking.exists():
        if is_taken(name, [archive, outbox]):
            raise NameTaken(name)
        _drop_traces_of_hold(taking)
        ticket = name + TICKET_SUFFIX
        write_durably(taking / ticket, _content(building / ticket))
        reached(Step.TICKET_KEPT)
        move_folder(taking, archive / name)
        reached(Step.ARCHIVED)
    if building.exists():
        publish(building, outbox / name)


def _content(ticket: Path) -> bytes:
    """Give what a worker wrote as the ticket, no more than one has."""
    read = read_regular_file(ticket, LARGEST_TICKET)
    if read is None:
        raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(ticket))
    return read[0]


def publish(building: Path, target: Path) -> None:
    """Give a finished product its place in the outbox by one rename; from another disk it is copied beside it first.

    Raises:
        TakenTooSoon: the copy was taken away again and again before it was whole.
        OSError: disk or rights.
    """
    for tried in range(1, _TRIES + 1):
        try:
            move_folder(building, target)
            break
        except FileNotFoundError as error:
            if not (building.is_dir() and target.parent.is_dir()):
                raise
            if tried == _TRIES:
                raise TakenTooSoon(
                    f"files are taken out of {one_line(str(target.parent))} while they are still being copied into it."
                    " Let whatever empties that folder leave names that begin with a dot"
                ) from error
    reached(Step.PUBLISHED)


def make_sure_of_room(files: Mapping[str, int], *, archive: Path, outbox: Path) -> None:
    """Make sure, before anything is moved, that a product can get into the outbox.

    Args:
        files: the size of each of its files, bytes.
        archive: where it was built.
        outbox: where it is to go.

    Raises:
        OSError: the outbox may not be written to, or lies on another disk that has no room for it.
    """
    if not os.access(outbox, os.W_OK | os.X_OK):
        number = errno.EROFS if _is_read_only(outbox) else errno.EACCES
        raise OSError(number, os.strerror(number), str(outbox / "product"))
    is_elsewhere = archive.stat().st_dev != outbox.stat().st_dev
    if is_elsewhere and shutil.disk_usage(outbox).free < sum(files.values()):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(outbox / "product"))


def _is_read_only(folder: Path) -> bool:
    return sys.platform != "win32" and bool(os.statvfs(folder).f_flag & os.ST_RDONLY)


def _drop_traces_of_hold(taking: Path) -> None:
    """Remove what a hold that a crash cut short left in the order's folder."""
    note = read_held_note(taking)
    for name in (*(note.pictures if note else ()), WHY_NAME, HELD_NOTE):
        remove_file(taking / name, missing_ok=True)


def sheet_files(outbox: Path, name: str) -> list[Path]:
    """The sheets of an order that lie in the outbox now, in the order in which they are printed.

    Also where somebody has put a word behind the name of its folder; not those of printed orders.
    """
    kinds = {file: sheet_kind(name, file.name) for file in folder_of(outbox, name).glob("*.pdf") if file.is_file()}
    return [file for _, file in sorted((kind, file) for file, kind in kinds.items() if kind is not None)]


def still_there(outbox: Path, name: str) -> bool:
    """Whether an order's sheets are still in the outbox."""
    return bool(sheet_files(outbox, name))


def is_taken(name: str, folders: Iterable[Path]) -> bool:
    """Whether a name is in use in any of the folders."""
    return any(os.path.lexists(folder / name) for folder in folders)


def point_to_newer(outbox: Path, earlier: str, newer: str, order: str | None = None) -> None:
    """Leave a note in an uncollected folder that other art of the same name (in a run: `order`) has been made since."""
    file = folder_of(outbox, earlier) / f"NEWER ART IN {newer}.txt"
    name = "the same name" if order is None else f"the name {order}"
    text = f"Other art came in under {name} after these sheets were made.\nIts sheets are in the folder {newer}.\n"
    write_durably(file, text.encode("utf-8"))
