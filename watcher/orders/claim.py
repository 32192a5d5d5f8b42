"""Claim an order: move its files out of the inbox into `archive/.taking-N/` and hash them.

Beside the folder lies a note (`claim_note`), written before the first file moves: it says what is being taken and from
where, so that a claim cut short is undone and a whole one is resumed (`recover`) without any other record.
"""

import errno
import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from watcher.disk import (
    empty_folder,
    fitting_file_name,
    link_or_copy,
    longer_name,
    move_file,
    remove_empty_folder,
    remove_file,
    sha256_of,
    status_of_file,
    sync_folder,
    write_durably,
)
from watcher.inbox.file_names import compare_key
from watcher.inbox.scan import Identity, SeenFile
from watcher.orders.claim_note import note_text, order_in
from watcher.orders.draft import draft_order, with_content
from watcher.orders.held_note import FILE_NAME, WHY_NAME
from watcher.orders.model import Order, Planned
from watcher.steps import Step, reached

PREFIX = ".taking-"
_LARGEST_NOTE = 64 * 1024**2  # bytes; one of 10,000 files has 4 MB


class FileChanged(Exception):
    """A file was written to, replaced or removed between the last look and the claim: it goes on waiting."""


def taking_folder(archive: Path, number: int) -> Path:
    """Give the folder that holds the files of order `number` while it is made."""
    return archive / f"{PREFIX}{number}"


def note_of(archive: Path, number: int) -> Path:
    """Give the path of the note that describes order `number`."""
    return archive / f"{PREFIX}{number}.json"


def claim(
    plans: Sequence[Planned], archive: Path, first_number: int, are_there: Callable[[], bool] = lambda: True
) -> tuple[Order, ...]:
    """Take the files of one bundle of orders out of the inbox.

    Args:
        plans: orders that belong together because they share files; usually one.
        archive: the archive folder.
        first_number: the first of `len(plans) + 1` numbers that are free.
        are_there: whether the folders are there still; below a drive that is gone nothing is put back.

    Returns:
        The orders, each with its files in a folder of its own.

    Raises:
        FileChanged: a file is no longer what was looked at; everything is back where it was.
        OSError: disk or rights; everything that could be put back is back. What could not has its note still.
    """
    files = list({file.path: file for plan in plans for file in plan.files}.values())
    names = _names_in_folder(files, archive)
    drafts = [draft_order(plan, first_number + index, names) for index, plan in enumerate(plans)]
    holder = drafts[0] if len(drafts) == 1 else _holder(drafts, first_number + len(drafts))
    _refuse_numbers_in_use(archive, [*drafts, holder])
    _open_folder(holder, archive)
    try:
        digests = _take(files, names, archive, holder)
        orders = tuple(with_content(draft, plan, digests) for draft, plan in zip(drafts, plans, strict=True))
        if len(orders) > 1:
            _split(orders, archive, holder.number)
        else:
            write_note(archive, orders[0])
        reached(Step.CLAIMED)
    except BaseException:
        for order in (*drafts, holder):
            with suppress(OSError):
                if are_there():
                    put_back(order, archive)
        raise
    return orders


def _names_in_folder(files: Sequence[SeenFile], archive: Path) -> dict[Path, str]:
    """A name for each file in the order's folder: its own, with a number where two share one.

    The names of the notes in a held folder are taken: a file of the customer's must never be overwritten by them.
    """
    names: dict[Path, str] = {}
    taken = {compare_key(FILE_NAME), compare_key(WHY_NAME)}
    for file in files:
        own = name = fitting_file_name(file.name, [archive])
        number = 1
        while compare_key(name) in taken:
            number += 1
            name = longer_name(own, f" {number}")
        taken.add(compare_key(name))
        names[file.path] = name
    return names


def _holder(drafts: Sequence[Order], number: int) -> Order:
    """Make the order that holds the files of a whole bundle until each of its orders has a folder of its own."""
    files = {file.origin: file for draft in drafts for file in draft.files}
    return replace(drafts[0], number=number, art=(), files=tuple(files.values()))


def _refuse_numbers_in_use(archive: Path, orders: Sequence[Order]) -> None:
    for order in orders:
        for path in (note_of(archive, order.number), taking_folder(archive, order.number)):
            if os.path.lexists(path):
                raise FileExistsError(errno.EEXIST, "an order of that number is on its way already", str(path))


def _open_folder(order: Order, archive: Path) -> None:
    """Write the note of an order, then make its folder."""
    write_note(archive, order)
    reached(Step.NOTED)
    try:
        taking_folder(archive, order.number).mkdir()
    except OSError:
        remove_file(note_of(archive, order.number))
        raise
    reached(Step.FOLDER_MADE)


def _take(files: Sequence[SeenFile], names: dict[Path, str], archive: Path, holder: Order) -> dict[str, str]:
    """Move the files; gives the SHA-256 of each by its name in the folder."""
    folder = taking_folder(archive, holder.number)
    digests = {names[seen.path]: _take_one(seen, folder / names[seen.path], archive) for seen in files}
    sync_folder(folder)
    for parent in {file.path.parent for file in files}:
        sync_folder(parent)
    reached(Step.HASHED)
    return digests


def _take_one(seen: SeenFile, target: Path, archive: Path) -> str:
    if _identity(seen.path) != seen.identity:
        raise FileChanged(seen.name)
    try:
        copied = _bring(seen.path, target, archive)
    except FileNotFoundError as error:
        if os.path.lexists(seen.path):
            raise
        raise FileChanged(seen.name) from error
    reached(Step.FILE_MOVED)
    digest = sha256_of(target)
    if not _is_unchanged(seen.identity, Identity.of(target.lstat()), copied=copied):
        raise FileChanged(seen.name)
    return digest


def _bring(source: Path, target: Path, archive: Path) -> bool:
    """Move a file, but leave one of the archive where it is; whether the bytes were copied."""
    if archive not in source.parents:
        return move_file(source, target)
    link_or_copy(source, target)
    return not source.samefile(target)


def _is_unchanged(before: Identity, after: Identity, *, copied: bool) -> bool:
    """Whether nobody wrote to the file or put another in its place while it was moved and read.

    A copy on another device has been compared byte by byte; its date is as exact as that device keeps dates. Inodes are
    not compared: some file systems give a file a new one when it is moved.
    """
    return before.size == after.size and (copied or before.mtime_ns == after.mtime_ns)


def _identity(path: Path) -> Identity | None:
    try:
        return Identity.of(path.lstat())
    except FileNotFoundError:
        return None


def _split(orders: Sequence[Order], archive: Path, holder: int) -> None:
    """Give each order of a bundle its own folder; a shared file is linked, so it stays whole in each."""
    shared = taking_folder(archive, holder)
    for order in orders:
        _open_folder(order, archive)
        folder = taking_folder(archive, order.number)
        for file in order.files:
            link_or_copy(shared / file.name, folder / file.name)
        sync_folder(folder)
        reached(Step.SPLIT)
    drop_taking(archive, holder)


def drop_taking(archive: Path, number: int) -> None:
    """Remove a taking folder whose files are safe elsewhere, then its note."""
    folder = taking_folder(archive, number)
    empty_folder(folder)
    if folder.exists():
        remove_empty_folder(folder)
    remove_file(note_of(archive, number), missing_ok=True)
    sync_folder(archive)


def put_back(order: Order, archive: Path) -> None:
    """Return an order's files to where they lay; a place taken meanwhile by other bytes gets a free name beside it."""
    folder = taking_folder(archive, order.number)
    for file in order.files if not folder.is_symlink() else ():  # a link leads to what is no file of an order
        if os.path.lexists(folder / file.name):
            _return_file(folder / file.name, Path(file.origin))
    drop_taking(archive, order.number)


def _return_file(source: Path, origin: Path) -> None:
    origin.parent.mkdir(exist_ok=True)  # no parents: where the inbox itself is gone, its disk is not there now
    target, number = origin, 1
    while os.path.lexists(target):
        if _is_same(source, target):
            remove_file(source)
            return
        number += 1
        target = origin.with_name(longer_name(origin.name, f" ({number})"))
    move_file(source, target)


def _is_same(one: Path, other: Path) -> bool:
    if one.is_symlink() or other.is_symlink() or not other.is_file():
        return False
    return sha256_of(one) == sha256_of(other)


def write_note(archive: Path, order: Order) -> None:
    """Write down beside its folder what an order is.

    Raises:
        OSError: disk or rights.
    """
    write_durably(note_of(archive, order.number), note_text(order))


def read_note(file: Path, taken_from: Sequence[Path] = ()) -> Order:
    """Give the order that a note describes.

    Args:
        file: the note.
        taken_from: inbox and held. Files that the note wants to have from elsewhere are from the first of them:
            whoever can write to the archive could have the program put a file anywhere. None: nothing is put back.

    Raises:
        OSError: disk or rights.
        ValueError, KeyError, TypeError: the note is not one of ours.
    """
    if status_of_file(file, _LARGEST_NOTE) is None:
        raise ValueError("it is no file of ours")
    order = order_in(file.read_bytes())
    if not taken_from:
        return order
    return replace(order, files=tuple(replace(one, origin=_within(taken_from, one.origin)) for one in order.files))


def _within(taken_from: Sequence[Path], origin: str) -> str:
    """The origin, where it lies in one of these folders; else a place of the same name in the first."""
    folder = Path(os.path.realpath(Path(origin).parent))
    if any(folder.is_relative_to(os.path.realpath(place)) for place in taken_from):
        return origin
    return str(taken_from[0] / Path(origin).name)
