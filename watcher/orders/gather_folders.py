"""Take folders that are orders: dropped into the inbox, or held and come back whole."""

from collections.abc import Sequence
from dataclasses import replace

from watcher.errors import FolderUnclear
from watcher.inbox.file_names import read_extension
from watcher.inbox.formats import HAVE_AN_INSIDE
from watcher.inbox.found import Folder, Found
from watcher.inbox.names import read_folder_name
from watcher.inbox.scan import SeenFile, SeenFolder
from watcher.orders.folders import Read, read_folder
from watcher.orders.gather_files import NOT_COMPLETE
from watcher.orders.gathered import Gathering
from watcher.orders.model import Planned
from watcher.orders.readings import group_key
from watcher.orders.returned import ReturnedFolder
from watcher.terms import EarlierUse


def take_order_in_folder(into: Gathering, seen: SeenFolder) -> None:
    """Take a folder that is an order, once all of it is there and has rested."""
    moving = {file.path: file for file in into.given.rested.moving}
    stuck_since, give_up_s = into.given.rested.stuck_since, into.given.give_up_s
    late = [moving[file.path] for file in (seen.itself, *seen.unfinished) if file.path in moving]
    late = [file for file in late if stuck_since.get(file.path, -1.0) < give_up_s]
    unrested = [file for file in seen.seen_files if file.path in moving]
    stuck = [file for file in unrested if stuck_since.get(file.path, -1.0) >= give_up_s]
    folder = Folder(path=seen.path, name=seen.name, arrived_ns=seen.identity.ctime_ns)
    if late or seen.unfetched or len(stuck) < len(unrested):
        _wait_for_folder(into, folder, seen.card)
        into.arriving_folders.append(seen)
    elif stuck:
        _refuse_folder(into, folder, seen.seen_files, f"{stuck[0].name} in {seen.name} {NOT_COMPLETE}.")
    else:
        read = read_folder(folder, seen.seen_files, into.given.insides, into.words)
        _keep_folder(into, folder, seen.seen_files, read, seen.card)


def take_together(into: Gathering, folder: ReturnedFolder, use: EarlierUse, *, if_usable: bool = False) -> None:
    """Take the files of a held order that came in a folder.

    Args:
        into: what is collected.
        folder: the held folder.
        use: how its files may be used.
        if_usable: whether nothing is to be said where they cannot be used.
    """
    container = folder.container(into.words)
    read = read_folder(
        container, folder.files, into.given.insides, into.words, lambda file: folder.earlier(file.name, use)
    )
    if read.fault is None or not if_usable:
        _keep_folder(into, container, folder.files, read, folder.note.inbox_folder or None)


def _keep_folder(into: Gathering, folder: Folder, files: Sequence[SeenFile], read: Read, card: str | None) -> None:
    into.containers.update(file.identity for file in files if read_extension(file.name) in HAVE_AN_INSIDE)
    into.to_look += read.to_look
    if read.is_arriving:
        _wait_for_folder(into, folder, card)
    elif read.fault is not None:
        _refuse_folder(into, folder, files, read.fault)
    into.found += (replace(one, file=replace(one.file, folder=card)) for one in read.found)


def _wait_for_folder(into: Gathering, folder: Folder, card: str | None) -> None:
    into.arriving.add(group_key(card, read_folder_name(folder.name, into.words).at_its_end.key))


def _refuse_folder(into: Gathering, folder: Folder, files: Sequence[SeenFile], fault: str) -> None:
    parts = read_folder_name(folder.name, into.words).at_its_end
    into.unusable.append(
        Planned(
            name=parts.order,
            key=parts.key,
            folder=files[0].folder,
            beside=tuple(
                Found(file=file, parts=replace(parts, extension=read_extension(file.name)), container=folder)
                for file in files
            ),
            fault=fault,
            fault_code=FolderUnclear.code,
            came_in=folder.name,
        )
    )
