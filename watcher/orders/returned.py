"""Find held orders that may be tried again: folders in `held`, and those that were moved back into the inbox."""

import stat
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from watcher.disk import is_bare_name, unshortened_name
from watcher.inbox.file_names import is_temporary, read_extension
from watcher.inbox.formats import ART_KINDS, CONTAINER, TICKET
from watcher.inbox.found import Earlier, Folder, Found
from watcher.inbox.name_parts import NameParts
from watcher.inbox.names import read_folder_name, read_name
from watcher.inbox.scan import Identity, Scan, SeenFile, SeenFolder
from watcher.orders.designs import ticket_key
from watcher.orders.folders import again_ticket
from watcher.orders.held_note import HeldNote, read_held_note
from watcher.orders.model import DESIGNS, GroupKey
from watcher.orders.readings import group_key
from watcher.records.timestamps import parse_timestamp
from watcher.settings.names import NameSettings
from watcher.terms import EarlierUse, HeldFor, Side


@dataclass(frozen=True, kw_only=True)
class ReturnedFolder:
    """The folder of a held order: in the inbox again, or in `held`; `accepted` when its name says " ok"."""

    path: Path
    note: HeldNote
    files: tuple[SeenFile, ...]
    accepted: bool

    @property
    def accepts_findings(self) -> bool:
        """Whether what was found in the art is accepted: by its name, or already when it was held."""
        return self.accepted and (self.note.needs is not HeldFor.FAULT or self.note.accepted)

    @property
    def overrules_check(self) -> bool:
        """Whether the check by sight is overruled: by its name, or already when it was held."""
        return self.accepted and (self.note.needs is HeldFor.FAULT or self.note.overruled)

    @property
    def is_whole(self) -> bool:
        """Whether all files of the order are there: a slow sync brings them one by one.

        Counted, not named: the person may have given a file the name it should have had. Where the person was asked to
        keep one of several, fewer will do.
        """
        least = 1 if self.note.is_unclear else len(self.note.files)
        return len(self.files) >= least

    def is_whole_with(self, newer: Iterable[Found], words: NameSettings) -> bool:
        """Whether newer files take the place of all files that are missing from it."""
        there = {file.path.name for file in self.files}
        fresh = {_kind_of(found.parts) for found in newer}
        gone = [file.name for file in self.note.files if file.name not in there]
        replaced = sum(_kind_of(read_name(unshortened_name(name, self.note.order), words)) in fresh for name in gone)
        return len(self.files) + replaced >= len(self.note.files)

    def container(self, words: NameSettings) -> Folder:
        """The folder that its order came in: under the name that it was dropped by, or a better one that it has now."""
        came_in, now = self.note.came_in, self.path.name
        said = read_folder_name(now, words).at_its_end
        says_more = bool(said.quantity or said.due or said.now) and said.key == self.note.key
        is_renamed = not self.accepted and (says_more or again_ticket(now, words) is not None)
        arrived = parse_timestamp(self.note.since)
        arrived_ns = int(arrived.timestamp() * 1e9) if arrived else self.path.lstat().st_ctime_ns
        return Folder(path=self.path, name=now if is_renamed else came_in, arrived_ns=arrived_ns)

    @property
    def key(self) -> GroupKey:
        """The key by which its order is compared with those in the inbox."""
        return group_key(self.note.inbox_folder, self.note.key)

    def members_of(self, name: str) -> tuple[str, ...]:
        """The members of a ZIP that belong to its order; empty for all."""
        return next((held.members for held in self.note.files if held.name == name), ())

    def earlier(self, name: str, use: EarlierUse) -> Earlier:
        """Where a file of it that goes with newer ones came from, for the ticket and the messages."""
        before = next((held.earlier for held in self.note.files if held.name == name), None)
        return Earlier(place=f"held/{self.note.folder}", since=self.note.since, use=use, before=before)

    def names(self, words: NameSettings) -> Iterator[NameParts]:
        """The parsed names of its files, and of the members of ZIPs."""
        files = ((file.name, self.members_of(file.path.name)) for file in self.files)
        return names_of(files, words, self.note.came_in)


def names_of(files: Iterable[tuple[str, Iterable[str]]], words: NameSettings, came_in: str = "") -> Iterator[NameParts]:
    """Parse the names of files, and those of the members of ZIPs.

    Args:
        files: each name with those of its members that belong to the order.
        words: the side words.
        came_in: the name of the folder that is their order; empty for files by themselves.
    """
    around = read_folder_name(came_in, words).at_its_end if came_in else None
    for name, members in files:
        for one in (name, *(member.rpartition("/")[2] for member in members)):
            parts = read_name(one, words)
            numbered = {1: Side.FRONT, 2: Side.BACK}.get(parts.page_number or 0)
            yield parts if around is None else replace(parts, key=around.key, side=parts.side or numbered, plain=None)


def returned_folders(scan: Scan) -> tuple[ReturnedFolder, ...]:
    """Find the held orders that were moved back into the inbox."""
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


def held_folders(held: Path) -> tuple[ReturnedFolder, ...]:
    """Find the held orders in `held`, each with the files that lie in it now."""
    found = []
    for path in sorted(held.iterdir()) if held.is_dir() else ():
        note = read_held_note(path) if path.is_dir() and not path.name.startswith(".") else None
        if note is not None:
            files = tuple(_files(path, _ordinary(path), note))
            found.append(ReturnedFolder(path=path, note=note, files=files, accepted=note.is_accepted_as(path.name)))
    return tuple(found)


def _ordinary(folder: Path) -> Iterator[tuple[str, Identity]]:
    """The person's files in a held folder; what file managers and sync programs add is skipped."""
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
            came_as = unshortened_name(name, note.order)
            came_as = came_as if is_bare_name(came_as) else name  # others may write to `held`
            yield SeenFile(path=folder / name, folder=note.inbox_folder or None, name=came_as, identity=identity)


def is_replaced(folder: ReturnedFolder, newer: Iterable[NameParts], words: NameSettings) -> bool:
    """Whether a file of a held folder has come anew, whatever the ending of its name.

    A whole document or a ZIP (a name without a side) takes the place of both sides, and they of it.
    """
    fresh = {_kind_of(parts) for parts in newer}
    sides: dict[str, set[Side | None]] = {}
    for key, side, is_ticket in fresh:
        if not is_ticket:
            sides.setdefault(key, set()).add(side)
    return any(_kind_of(parts) in fresh or _has_come(parts, sides) for parts in folder.names(words))


def _has_come(parts: NameParts, sides: Mapping[str, set[Side | None]]) -> bool:
    came = sides.get(parts.key, set()) if _is_art(parts.extension) else set()
    return bool(came) and (parts.side is None or not came.isdisjoint({parts.side, None}))


def _is_art(extension: str) -> bool:
    return extension in ART_KINDS or extension == CONTAINER


def _kind_of(parts: NameParts) -> tuple[str, Side | None, bool]:
    """What two names must share to mean the same file to a person: not a browser's ` (1)`, nor quantity, nor format."""
    return parts.key, parts.side, parts.extension == TICKET


class Fresh:
    """Files found in the inbox, by the order that they may belong to.

    Args:
        found: all of it.
        words: the side words.
    """

    def __init__(self, found: Iterable[Found], words: NameSettings) -> None:
        self._words = words
        self._by_key: dict[GroupKey, list[Found]] = {}
        for one in found:
            self._by_key.setdefault(group_key(one.file.folder, one.parts.key), []).append(one)
        self._designs: dict[GroupKey, list[GroupKey]] = {}  # numbered names, by the name of their job ticket
        for key in self._by_key:
            if (base := ticket_key(key)) is not None:
                self._designs.setdefault(base, []).append(key)

    def of(self, folder: ReturnedFolder) -> list[Found]:
        """The files that have come for a held order: under its name, or as one of its designs."""
        designs = self._designs.get(folder.key, [])
        if designs and folder.note.missing != DESIGNS:
            known = {parts.key for parts in folder.names(self._words)}
            designs = [key for key in designs if key[1] in known]
        return [one for key in (folder.key, *designs) for one in self._by_key.get(key, ())]


def how_used(folder: ReturnedFolder, found: Sequence[Found]) -> EarlierUse | None:
    """Decide how the files of a held order may be used with new files for it; None when they must not be.

    Args:
        folder: the order's; not accepted.
        found: what `Fresh.of` gave.
    """
    is_ticket_new = any(one.is_ticket and one.is_newer for one in found)
    is_art = any(not one.is_ticket for one in found)
    if folder.note.missing == DESIGNS:
        return EarlierUse.AWAITED if found and not is_ticket_new else None
    if folder.note.missing:
        return EarlierUse.AWAITED if is_art else None
    if folder.note.replaced or not any(one.is_newer for one in found) or _has_moved_back(found):
        return None
    has_ticket = any(read_extension(file.name) == TICKET for file in folder.files)
    has_art = any(_is_art(read_extension(file.name)) for file in folder.files)
    return EarlierUse.MENDED if has_art and (is_art or (is_ticket_new and has_ticket)) else None


def _has_moved_back(found: Iterable[Found]) -> bool:
    return any(not one.is_newer for one in found)
