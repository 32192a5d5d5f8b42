"""Prepare folders that are orders for the claim, and remove them when they are empty."""

import errno
import os
from dataclasses import replace
from pathlib import Path

from watcher.disk import remove_empty_folder, remove_file, write_durably
from watcher.inbox.file_names import is_of_the_system, is_temporary
from watcher.inbox.found import Found
from watcher.inbox.scan import Identity, SeenFile
from watcher.orders.claim import FileChanged
from watcher.orders.folders import AGAIN_TICKET, is_folder_of_repeat
from watcher.orders.held_note import read_held_note
from watcher.orders.model import Planned
from watcher.steps import Step, reached


def with_ticket_written(plan: Planned) -> Planned:
    """Write the job ticket that an empty folder's name says into it, so that there is a file to be claimed.

    Cut short right behind that, the folder asks for the same: its name still says it.

    Raises:
        FileChanged: it is no longer an empty folder.
        OSError: disk or rights.
    """
    if not any(map(is_folder_of_repeat, plan.beside)):
        return plan
    return replace(plan, beside=tuple(map(_written, plan.beside)))


def _written(found: Found) -> Found:
    if not is_folder_of_repeat(found) or found.text is None:
        return found
    folder = found.file.path
    if not folder.is_dir() or any(not is_temporary(name) for name in os.listdir(folder)):  # noqa: PTH208  # names alone
        raise FileChanged(found.file.name)
    path = folder / AGAIN_TICKET
    write_durably(path, found.text)
    reached(Step.ASKED_AGAIN)
    identity = Identity.of(path.lstat())
    return replace(
        found, file=SeenFile(path=path, folder=found.file.folder, name=path.name, identity=identity), text=None
    )


def refuse_changed_folders(bundle: tuple[Planned, ...]) -> None:
    """Refuse to take a part of a folder: something has come into it since it was looked at.

    Raises:
        FileChanged: there is such a folder; it waits again.
    """
    for plan in bundle:
        for folder in {found.container.path for found in _founds(plan) if found.container}:
            taken = {file.path.name for one in bundle for file in one.files if file.path.parent == folder}
            taken |= {found.file.name for found in plan.superseded}
            note = read_held_note(folder)
            taken |= note.our_names if note else frozenset()
            try:
                there = {name for name in os.listdir(folder) if not is_temporary(name)}  # noqa: PTH208  # names alone
            except FileNotFoundError as error:
                raise FileChanged(folder.name) from error
            if plan.came_in and folder.name == plan.came_in and there - taken:
                raise FileChanged(folder.name)


def _founds(plan: Planned) -> tuple[Found, ...]:
    return (*(piece.found for piece in plan.pieces), *plan.beside)


def remove_emptied(folder: Path) -> None:
    """Remove the folder of an order that has been claimed; where something of the person's lies in it, it stays.

    Raises:
        OSError: disk or rights.
    """
    try:
        names = os.listdir(folder)  # noqa: PTH208  # names alone
    except FileNotFoundError:
        return
    if not all(is_of_the_system(name) and (folder / name).is_file() for name in names):
        return
    for name in names:
        remove_file(folder / name, missing_ok=True)
    try:
        remove_empty_folder(folder)
    except OSError as error:
        if error.errno not in (errno.ENOTEMPTY, errno.EEXIST):  # something has come into it in this moment
            raise
