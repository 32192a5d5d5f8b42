"""List the held orders, and the folders in held that are not understood."""

from pathlib import Path

from watcher.orders.held_note import ACCEPTED, FILE_NAME, HeldNote, read_held_note
from watcher.outbox.hold import ways_out
from watcher.records.plain_text import one_line
from watcher.records.timestamps import parse_timestamp
from watcher.status.model import HeldOrder, Listed
from watcher.status.newest import newest_folders
from watcher.status.small_files import Remembered
from watcher.terms import Finding, Level

MOST = 1000  # folders looked into
NAME_NOT_UNDERSTOOD = "name-not-understood"
_NOT_OURS = Finding(
    level=Level.NOTE,
    code="no-held-note",
    message="This folder was not set aside by this program, or its held.toml is gone or damaged. It is left alone.",
)
_WAY_OUT_OF_NOT_OURS = "If there is art in it that is to be printed, put that into the inbox."


class HeldOrders:
    """Lists the held folder again and again; each note is read once."""

    def __init__(self) -> None:
        self._notes: Remembered[HeldNote | None] = Remembered(lambda file: read_held_note(file.parent))

    def read(self, held: Path) -> Listed[HeldOrder]:
        """List the held orders, newest first."""
        self._notes.begin()
        folders, more = newest_folders(held, MOST)
        found = [self._held(folder) for folder in folders]
        found.sort(key=_newest_first)
        return Listed(entries=tuple(found), more=more)

    def _held(self, folder: Path) -> HeldOrder:
        place = f"{folder.parent.name}/{folder.name}"
        note = self._notes.of(folder / FILE_NAME)
        if note is None:
            return _not_ours(folder.name, place)
        return HeldOrder(
            folder=folder.name,
            place=place,
            reasons=_with_name(note, folder.name),
            ways_out=tuple(ways_out(note)),
            since=parse_timestamp(note.since),
            may_be_accepted=note.soft,
            is_accepted=note.is_accepted_as(folder.name),
            files=tuple(file.name for file in note.files),
            needs=note.needs,
            pictures=note.pictures,
        )


def _with_name(note: HeldNote, name: str) -> tuple[Finding, ...]:
    """Why an order is held; before that, that a new name of its folder is not understood, and what it waits for."""
    if not note.is_renamed_as(name):
        return note.reasons
    waits = f'rename it to "{one_line(note.folder)}{ACCEPTED}" to say yes' if note.soft else "it needs other files"
    said = (
        f"The folder of {one_line(note.folder)} is called {one_line(name)} now, which is no yes: nothing is made of it."
        f" It is still held; {waits}, or do what is said below."
    )
    return (Finding(level=Level.NOTE, code=NAME_NOT_UNDERSTOOD, message=said), *note.reasons)


def _newest_first(order: HeldOrder) -> tuple[float, str]:
    return (-order.since.timestamp() if order.since else 0.0), order.folder


def _not_ours(folder: str, place: str) -> HeldOrder:
    return HeldOrder(
        folder=folder,
        place=place,
        reasons=(_NOT_OURS,),
        ways_out=(_WAY_OUT_OF_NOT_OURS,),
        since=None,
        may_be_accepted=False,
        is_accepted=False,
        files=(),
    )
