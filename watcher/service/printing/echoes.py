"""Tell what a person says from what a sync program brings again: a copy of a folder, or a rename that was answered."""

from datetime import datetime, timedelta

from watcher.disk import move_folder, remove_folder, sha256_of
from watcher.outbox.printing.order_folder import OrderFolder, all_folders_of, name_with
from watcher.outbox.printing.order_printing import OrderPrinting
from watcher.outbox.printing.record_file import RECORD_NAME, read_record, write_record
from watcher.records.timestamps import parse_timestamp
from watcher.service.printing.desk import Desk
from watcher.service.printing.settling import state_word

_ECHO = timedelta(minutes=1)  # the same number of sheets asked for again so soon is a sync program's doing (our own)


def is_a_copy(desk: Desk, folder: OrderFolder) -> bool:
    """Whether another folder of the same order is there: then this one is what a sync program brought once more."""
    others = [one for one in all_folders_of(desk.shop.outbox, folder.order) if one.path != folder.path]
    same = next((one for one in others if one.key == folder.key), None)
    if same is None:
        return False
    if _holds_nothing_else(folder, same):
        desk.shop.log.add(
            f"{folder.order}: {folder.path.name} came again although {same.path.name} is there; nothing was sent, and"
            " the copy is removed"
        )
        remove_folder(folder.path)
    else:
        _say_once(desk, folder, f"{folder.path.name} came again although {same.path.name} is there; nothing is sent")
    return True


def _holds_nothing_else(folder: OrderFolder, same: OrderFolder) -> bool:
    """Whether every file of a folder lies in the other one too, byte for byte."""
    try:
        files = [file for file in folder.path.iterdir() if file.name != RECORD_NAME]
        return all(
            (same.path / file.name).is_file() and sha256_of(file) == sha256_of(same.path / file.name) for file in files
        )
    except OSError:
        return False


_said: set[tuple[str, str]] = set()


def _say_once(desk: Desk, folder: OrderFolder, line: str) -> None:
    if (folder.key, line) not in _said:
        _said.add((folder.key, line))
        desk.shop.log.add(f"{folder.order}: {line}")


def came_again(desk: Desk, folder: OrderFolder, printing: OrderPrinting, wish: str) -> bool:
    """Whether a rename is one that was answered before; the folder gets the name back that tells how things are."""
    note = printing.note
    knows_less = bool(note.record) and read_record(folder.path) != note.record
    answered = parse_timestamp(note.answered_at)
    is_repeated = folder.words.sheets is not None and note.answered == wish and not note.says and not note.look_at
    is_soon = is_repeated and _is_less_than(desk, answered, _ECHO)
    if not (knows_less or is_soon):
        return False
    target = folder.path.with_name(name_with(folder.order, state_word(printing)))
    write_record(folder.path, note.record)
    if target != folder.path:
        move_folder(folder.path, target)
    desk.shop.log.add(
        f'{folder.order}: "{wish}" came again and was taken for an echo of a sync program; nothing was sent. If it was'
        " you, rename the folder once more" + (" in a minute" if is_soon else "")
    )
    return True


def _is_less_than(desk: Desk, moment: datetime | None, ago: timedelta) -> bool:
    return moment is not None and abs(desk.shop.now() - moment) < ago
