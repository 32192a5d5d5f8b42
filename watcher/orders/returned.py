"""Orders that were set aside and may be tried again: folders in `held`, and those that lie in the inbox again."""

import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from watcher.inbox.file_names import is_temporary
from watcher.inbox.scan import Identity, Scan, SeenFile, SeenFolder
from watcher.intake.names import NameParts, read_name
from watcher.intake.unpack import Found
from watcher.orders.held_note import HeldNote, read_held_note
from watcher.orders.model import GroupKey
from watcher.orders.pairing import group_key
from watcher.settings.model import NameSettings
from watcher.terms import HeldFor, Side


@dataclass(frozen=True, kw_only=True)
class ReturnedFolder:
    """A folder set aside earlier that lies in the inbox again, or that was accepted where it lies."""

    path: Path
    note: HeldNote
    files: tuple[SeenFile, ...]
    accepted: bool

    @property
    def accepts_findings(self) -> bool:
        """Whether its name says that what was found in the art is accepted, or that was so when it was set aside."""
        return self.accepted and (self.note.needs is not HeldFor.FAULT or self.note.accepted)

    @property
    def overrules_check(self) -> bool:
        """Whether its name says that the sheet is right although the check by sight says no, now or before."""
        return self.accepted and (self.note.needs is HeldFor.FAULT or self.note.overruled)

    @property
    def is_whole(self) -> bool:
        """Whether everything that was set aside is there: a slow sync brings the files one by one.

        Counted, not named: the person may have given a file the name it should have had.
        """
        return len(self.files) >= len(self.note.files)

    @property
    def key(self) -> GroupKey:
        """What its order is known by among those in the inbox."""
        return group_key(self.note.inbox_folder, self.note.key)

    def members_of(self, name: str) -> tuple[str, ...]:
        """Which members of a ZIP its order had; empty for all."""
        return next((held.members for held in self.note.files if held.name == name), ())


def returned_folders(scan: Scan) -> tuple[ReturnedFolder, ...]:
    """The held orders that were moved back into the inbox."""
    found = []
    for folder in scan.folders:
        note = read_held_note(folder.path) if folder.has_held_toml else None
        if note is not None:
            found.append(_returned(folder, note))
    return tuple(found)


def _returned(folder: SeenFolder, note: HeldNote) -> ReturnedFolder:
    return ReturnedFolder(
        path=folder.path,
        note=note,
        files=tuple(_files(folder.path, folder.files, note)),
        accepted=note.is_accepted_as(folder.name),
    )


def set_aside(held: Path) -> tuple[ReturnedFolder, ...]:
    """The folders in `held` that this program set aside, each with what lies in it now."""
    found = []
    for path in sorted(held.iterdir()) if held.is_dir() else ():
        note = read_held_note(path) if path.is_dir() and not path.name.startswith(".") else None
        if note is not None:
            files = tuple(_files(path, _ordinary(path), note))
            found.append(ReturnedFolder(path=path, note=note, files=files, accepted=note.is_accepted_as(path.name)))
    return tuple(found)


def _ordinary(folder: Path) -> Iterator[tuple[str, Identity]]:
    """The person's files in a folder that was set aside; what file managers and sync programs add is passed over."""
    for file in sorted(folder.iterdir()):
        try:
            status = file.lstat()
        except FileNotFoundError:
            continue
        if stat.S_ISREG(status.st_mode) and not is_temporary(file.name):
            yield file.name, Identity.of(status)


def _files(folder: Path, entries: Iterable[tuple[str, Identity]], note: HeldNote) -> Iterator[SeenFile]:
    for name, identity in entries:
        if name not in note.our_names:
            yield SeenFile(path=folder / name, folder=note.inbox_folder or None, name=name, identity=identity)


def is_replaced(folder: ReturnedFolder, names: Iterable[NameParts], words: NameSettings) -> bool:
    """Whether a file set aside has come anew, mended, under the name it had."""
    fresh = {_identity_of(parts) for parts in names}
    return any(_identity_of(read_name(file.name, words)) in fresh for file in folder.files)


def _identity_of(parts: NameParts) -> tuple[str, Side | None, str]:
    """What makes two names the same file to a person: a browser's ` (1)` and the quantity count for nothing."""
    return parts.key, parts.side, parts.extension


def is_waited_for(note: HeldNote, fresh: Iterable[Found]) -> bool:
    """Whether what a lone half waits for has come, and not a whole order of the same name that needs no such half.

    Args:
        note: of the folder set aside.
        fresh: what has come under its name.
    """
    sides = {side_of(found) for found in fresh} - {None}
    return bool(sides) if note.missing == "art" else sides == {note.missing}


def side_of(found: Found) -> str | None:
    """The side that fresh art is for, as far as its name says; "both" for two pages; None for a job ticket."""
    if found.is_ticket:
        return None
    if found.parts.side is not None:
        return str(found.parts.side)
    return str(Side.FRONT) if found.pages == 1 else "both"
