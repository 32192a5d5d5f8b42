"""Remove an order from the archive, when a person asks for it."""

from dataclasses import dataclass
from pathlib import Path

from watcher.archive.archived import Archived, archived_names, read_archived, why_unreadable
from watcher.archive.find import nearest_names
from watcher.archive.folder_words import folder_of
from watcher.disk import remove_folder
from watcher.errors import WrongUsage
from watcher.inbox.file_names import compare_key
from watcher.orders.quantity import counted
from watcher.orders.recover import notes_under_way
from watcher.records.journal import read_journal
from watcher.records.log import EventLog
from watcher.records.order_life import State
from watcher.records.plain_text import one_line
from watcher.records.timestamps import say_stamp_day
from watcher.settings.folders import FolderSettings


@dataclass(frozen=True, kw_only=True)
class Removal:
    """An order that is to be removed from the archive; `says` tells people what goes with it and what stays."""

    folder: Path
    says: str


def plan_removal(name: str, folders: FolderSettings) -> Removal:
    """Find an order, and say what its removal means.

    Raises:
        WrongUsage: there is none, or it is being made now.
    """
    names = archived_names(folders.archive)
    folder = next((known for known in names if compare_key(known) == compare_key(name)), None)
    order = None if folder is None else read_archived(folders.archive / folder)
    if folder is not None and order is None:
        raise WrongUsage(
            f"{one_line(folder)} lies in the archive, but {why_unreadable(folders.archive / folder)}, so that it is not"
            f" known to be an order. Look into archive/{one_line(folder)}, and delete that folder by hand."
        )
    if order is None:
        near = ", ".join(map(one_line, nearest_names(name, names)))
        nearest = f" The nearest names there: {near}." if near else ""
        raise WrongUsage(f"There is no order {one_line(name)} in the archive.{nearest}")
    _refuse_under_way(order, folders)
    return Removal(folder=folders.archive / order.folder, says=_what_goes(order, folders))


def remove_order(removal: Removal, log: EventLog) -> None:
    """Remove an order. At any moment it is there whole or not at all."""
    remove_folder(removal.folder)
    log.add(f"{removal.folder.name}: taken out of the archive by hand")


def _refuse_under_way(order: Archived, folders: FolderSettings) -> None:
    asked = {compare_key(order.folder), order.key}
    repeats = any(
        compare_key(note.repeat.order) in asked for note in notes_under_way(folders.archive) if note.repeat is not None
    )
    if repeats or order.folder in _in_hand(folders.state):
        raise WrongUsage(f"The sheets of {one_line(order.folder)} are being made now. Try again when they are done.")


def _in_hand(state: Path) -> set[str]:
    journal = read_journal(state)
    if journal is None:
        return set()
    try:
        return {entry.folder for entry in journal.in_state(State.MAKING, State.DELIVERING)}
    finally:
        journal.close()


def _what_goes(order: Archived, folders: FolderSettings) -> str:
    name = one_line(order.folder)
    files = len(list((folders.archive / order.folder).iterdir()))
    says = (
        f"{name} ({counted(order.cards, 'card')}, {one_line(order.wishes.card)}, made {say_stamp_day(order.made_at)})"
        f" leaves the archive with {counted(files, 'file')}; it cannot be repeated any more."
    )
    stays = folder_of(folders.outbox, order.folder).exists()
    return f"{says} Its sheets in the outbox stay." if stays else says
