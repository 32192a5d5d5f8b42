"""Take the files of held orders: moved back into the inbox, accepted by a new name, or completed by newer files."""

from watcher.inbox.complete import Completeness, how_complete
from watcher.inbox.scan import SeenFile
from watcher.orders.gather_files import key_of, take_file, wait_for
from watcher.orders.gather_folders import take_together
from watcher.orders.gathered import Gathering
from watcher.orders.returned import ReturnedFolder
from watcher.terms import EarlierUse


def take_back(into: Gathering, folder: ReturnedFolder, *, whole: bool) -> None:
    """Take a folder that was moved back; while files of it are missing its order waits."""
    _accept(into, folder)
    if not whole:
        into.arriving.add(folder.key)
        into.arriving.update(key_of(into, file) for file in folder.files)


def take_accepted(into: Gathering, folder: ReturnedFolder) -> None:
    """Take a folder in `held` that was renamed "ORDER ok"; a slow sync may still be moving files of it."""
    _accept(into, folder)
    if folder.note.came_in and all(_is_whole(into, file) for file in folder.files):
        take_together(into, folder, EarlierUse.ACCEPTED)
        return
    for file in folder.files:
        if _is_whole(into, file) and not folder.note.came_in:
            _take_of(into, folder, file, EarlierUse.ACCEPTED)
        else:
            wait_for(into, file)


def take_earlier(into: Gathering, folder: ReturnedFolder, use: EarlierUse) -> None:
    """Take a folder in `held` for whose order newer files have come, but for files that cannot be used."""
    if folder.note.came_in:
        if all(_is_whole(into, file) for file in folder.files):
            take_together(into, folder, use, if_usable=True)
        return
    for file in folder.files:
        if _is_whole(into, file):
            before = len(into.unusable)
            _take_of(into, folder, file, use)
            del into.unusable[before:]
        elif use is EarlierUse.AWAITED:
            wait_for(into, file)


def _accept(into: Gathering, folder: ReturnedFolder) -> None:
    """Remember what the folder's name accepts."""
    if folder.accepts_findings:
        into.accepted[folder.key] = folder.note.seen
    if folder.overrules_check:
        into.overruled.add(folder.key)


def _take_of(into: Gathering, folder: ReturnedFolder, file: SeenFile, use: EarlierUse) -> None:
    take_file(into, file, folder.members_of(file.path.name), folder.earlier(file.path.name, use))


def _is_whole(into: Gathering, file: SeenFile) -> bool:
    return file.path not in into.given.moving_in_held and _is_complete(file)


def _is_complete(file: SeenFile) -> bool:
    try:
        return how_complete(file.path) is Completeness.WHOLE
    except OSError:
        return False
