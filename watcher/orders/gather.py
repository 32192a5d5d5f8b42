"""Sort the files of the inbox, of returned folders and of held into what can be paired now and what cannot."""

from collections.abc import Iterator

from watcher.inbox.scan import Scan
from watcher.orders.folders import is_order, why_no_order
from watcher.orders.gather_files import take_file, take_moving
from watcher.orders.gather_folders import take_order_in_folder, take_together
from watcher.orders.gather_held import take_accepted, take_back, take_earlier
from watcher.orders.gathered import Gathered, Gathering, ToGather
from watcher.orders.held_note import read_held_note
from watcher.orders.returned import Fresh, how_used
from watcher.records.plain_text import one_line
from watcher.settings.names import NameSettings
from watcher.terms import EarlierUse

_DAMAGED = "its held.toml is damaged; put the art in it into the inbox itself, and delete the folder"


def gather(given: ToGather) -> Gathered:
    """Sort files into what can be paired now, what must be waited for and what can be no order's."""
    into = Gathering(given=given)
    came_back = {folder.path: folder for folder in given.returned}
    never_held = [folder for folder in given.scan.folders if folder.path not in came_back]
    in_folders = {folder.path for folder in never_held}
    for file in given.rested.ready:
        folder = came_back.get(file.path.parent)
        if folder is not None and not folder.note.came_in:
            use = EarlierUse.ACCEPTED if folder.accepted else EarlierUse.WANTED
            take_file(into, file, folder.members_of(file.path.name), folder.earlier(file.path.name, use))
        elif folder is None and file.path not in in_folders and file.path.parent not in in_folders:
            take_file(into, file)
    for file in given.rested.moving:
        if file.path not in in_folders and file.path.parent not in in_folders:
            take_moving(into, file)
    for one in never_held:
        if is_order(one, given.words):
            take_order_in_folder(into, one)
    moving = {file.path for file in given.rested.moving}
    for folder in came_back.values():
        if folder.note.came_in and moving.isdisjoint(file.path for file in folder.files):
            take_together(into, folder, EarlierUse.ACCEPTED if folder.accepted else EarlierUse.WANTED)
    fresh = Fresh(into.found, given.words)
    for folder in came_back.values():
        is_still = moving.isdisjoint(file.path for file in folder.files)
        is_whole = folder.is_whole or folder.is_whole_with(fresh.of(folder), given.words)
        take_back(into, folder, whole=is_still and (is_whole or folder.path in given.overdue))
    for folder in given.held:
        if not folder.is_whole:
            continue
        if folder.accepted:
            take_accepted(into, folder)
        elif (of_held := how_used(folder, fresh.of(folder))) is not None:
            take_earlier(into, folder, of_held)
    into.left_alone += _not_ours(given.scan, given.words)
    return into.result()


def _not_ours(scan: Scan, words: NameSettings) -> Iterator[str]:
    for folder in scan.folders:
        if not is_order(folder, words) and read_held_note(folder.path) is None:
            yield f"{one_line(folder.name)}: {_DAMAGED}" if folder.has_held_toml else why_no_order(folder)
    for path in scan.refused:
        yield f"{one_line(path.name)}: a link, a device or a folder that may not be read"
