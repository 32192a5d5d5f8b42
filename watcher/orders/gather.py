"""Sort the files of the inbox, of returned folders and of held into what can be paired now and what cannot."""

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from watcher.errors import ArtUnreadable, FolderUnclear
from watcher.inbox.complete import Completeness, how_complete
from watcher.inbox.formats import HAVE_AN_INSIDE
from watcher.inbox.inside import Inside
from watcher.inbox.names import TICKET, read_extension, read_folder_name, read_name
from watcher.inbox.scan import Identity, Scan, SeenFile, SeenFolder
from watcher.inbox.settle import Rested
from watcher.inbox.unpack import Earlier, Folder, Found, unfold
from watcher.orders.folders import Read, is_order, read_folder, why_no_order
from watcher.orders.held_note import read_held_note
from watcher.orders.model import GroupKey, Planned
from watcher.orders.pairing import Table
from watcher.orders.readings import group_key
from watcher.orders.returned import Fresh, ReturnedFolder, how_used
from watcher.orders.usable import FILE_UNUSABLE, MOST_BYTES, too_large, why_unusable
from watcher.records.plain_text import one_line
from watcher.settings.model import NameSettings
from watcher.terms import EarlierUse

Insides = Mapping[Identity, "Inside | str"]  # what a ZIP, PDF or TIFF holds, or why it cannot be used

_NOT_COMPLETE = "is not complete: its end is missing. Export or copy it again"
_DAMAGED = "its held.toml is damaged; put the art in it into the inbox itself, and delete the folder"


@dataclass(frozen=True, kw_only=True)
class Gathered:
    """Files, sorted.

    Attributes:
        table: what can be paired now.
        unusable: files that can be no order's, each with its reason, as orders that are to be held.
        to_look: ZIP, PDF and TIFF files whose inside must be inspected first.
        arriving: names of files that are still being written.
        containers: every ZIP, PDF and TIFF that lies there.
        left_alone: what lies in the inbox and is none of ours, with the reason.
        arriving_folders: orders in folders that have not rested yet.
    """

    table: Table
    unusable: tuple[Planned, ...]
    to_look: tuple[SeenFile, ...]
    arriving: tuple[str, ...]
    containers: frozenset[Identity]
    left_alone: tuple[str, ...]
    arriving_folders: tuple[SeenFolder, ...] = ()


@dataclass(frozen=True, kw_only=True)
class ToGather:
    """Everything that may be part of an order.

    Attributes:
        scan: what lies in the inbox.
        rested: which of it has rested, and of the returned folders.
        returned: held orders that lie in the inbox again.
        held: folders in `held`.
        insides: of ZIP, PDF and TIFF files, as far as they are known.
        words: the side words.
        give_up_s: how long an incomplete file is waited for after its last change.
        overdue: returned folders that have been waited for long enough, although files of them are missing.
        moving_in_held: files in `held` that have not rested yet.
    """

    scan: Scan
    rested: Rested
    returned: tuple[ReturnedFolder, ...] = ()
    held: tuple[ReturnedFolder, ...] = ()
    insides: Insides = field(default_factory=dict)
    words: NameSettings
    give_up_s: float
    overdue: frozenset[Path] = frozenset()
    moving_in_held: frozenset[Path] = frozenset()


def gather(given: ToGather) -> Gathered:
    """Sort files into what can be paired now, what must be waited for and what can be no order's."""
    work = _Gathering(given)
    came_back = {folder.path: folder for folder in given.returned}
    never_held = [folder for folder in given.scan.folders if folder.path not in came_back]
    in_folders = {folder.path for folder in never_held}
    for file in given.rested.ready:
        folder = came_back.get(file.path.parent)
        if folder is not None and not folder.note.came_in:
            use = EarlierUse.ACCEPTED if folder.accepted else EarlierUse.WANTED
            work.take(file, folder.members_of(file.path.name), folder.earlier(file.path.name, use))
        elif folder is None and file.path not in in_folders and file.path.parent not in in_folders:
            work.take(file)
    for file in given.rested.moving:
        if file.path not in in_folders and file.path.parent not in in_folders:
            work.take_moving(file)
    for one in never_held:
        if is_order(one, given.words):
            work.take_order_in_folder(one)
    moving = {file.path for file in given.rested.moving}
    for folder in came_back.values():
        if folder.note.came_in and moving.isdisjoint(file.path for file in folder.files):
            work.take_together(folder, EarlierUse.ACCEPTED if folder.accepted else EarlierUse.WANTED)
    fresh = Fresh(work.found, given.words)
    for folder in came_back.values():
        is_still = moving.isdisjoint(file.path for file in folder.files)
        is_whole = folder.is_whole or folder.is_whole_with(fresh.of(folder), given.words)
        work.take_back(folder, whole=is_still and (is_whole or folder.path in given.overdue))
    for folder in given.held:
        if not folder.is_whole:
            continue
        if folder.accepted:
            work.take_accepted(folder)
        elif (of_held := how_used(folder, fresh.of(folder))) is not None:
            work.take_earlier(folder, of_held)
    return work.result()


def _is_complete(file: SeenFile) -> bool:
    try:
        return how_complete(file.path) is Completeness.WHOLE
    except OSError:
        return False


def _not_ours(scan: Scan, words: NameSettings) -> Iterator[str]:
    for folder in scan.folders:
        if not is_order(folder, words) and read_held_note(folder.path) is None:
            yield f"{one_line(folder.name)}: {_DAMAGED}" if folder.has_held_toml else why_no_order(folder)
    for path in scan.refused:
        yield f"{one_line(path.name)}: a link, a device or a folder that may not be read"


class _Gathering:
    """Collects files while they are sorted."""

    def __init__(self, given: ToGather) -> None:
        self._given, self._words = given, given.words
        self._moving = {file.path: file for file in given.rested.moving}
        self.found: list[Found] = []
        self.unusable: list[Planned] = []
        self.to_look: list[SeenFile] = []
        self.arriving: set[GroupKey] = set()
        self.tickets_arriving: set[GroupKey] = set()
        self.accepted: dict[GroupKey, tuple[str, ...]] = {}
        self.overruled: set[GroupKey] = set()
        self.containers: set[Identity] = set()
        self.left_alone: list[str] = []
        self.arriving_files: list[str] = []
        self.arriving_folders: list[SeenFolder] = []

    def take_moving(self, file: SeenFile) -> None:
        """Take a file that has not rested, or is not all there: it is waited for, for a while."""
        stuck_since, give_up_s = self._given.rested.stuck_since, self._given.give_up_s
        if file.identity.size > MOST_BYTES:
            self.leave_alone(file)
        elif file.path in stuck_since and not os.access(file.path, os.R_OK):
            self.leave_unread(file, waited_for=stuck_since[file.path] < give_up_s)
        elif stuck_since.get(file.path, -1.0) < give_up_s:
            self.wait_for(file)
        else:
            self.refuse(file, _NOT_COMPLETE)

    # -- orders in folders -----------------------------------------------------------------------------------------

    def take_order_in_folder(self, seen: SeenFolder) -> None:
        """Take a folder that is an order, once all of it is there and has rested."""
        moving = self._moving
        stuck_since, give_up_s = self._given.rested.stuck_since, self._given.give_up_s
        late = [moving[file.path] for file in (seen.itself, *seen.unfinished) if file.path in moving]
        late = [file for file in late if stuck_since.get(file.path, -1.0) < give_up_s]
        unrested = [file for file in seen.seen_files if file.path in moving]
        stuck = [file for file in unrested if stuck_since.get(file.path, -1.0) >= give_up_s]
        folder = Folder(path=seen.path, name=seen.name, arrived_ns=seen.identity.ctime_ns)
        if late or seen.unfetched or len(stuck) < len(unrested):
            self._wait_for_folder(folder, seen.card)
            self.arriving_folders.append(seen)
        elif stuck:
            self._refuse_folder(folder, seen.seen_files, f"{stuck[0].name} in {seen.name} {_NOT_COMPLETE}.")
        else:
            read = read_folder(folder, seen.seen_files, self._given.insides, self._words)
            self._keep_folder(folder, seen.seen_files, read, seen.card)

    def take_together(self, folder: ReturnedFolder, use: EarlierUse, *, if_usable: bool = False) -> None:
        """Take the files of a held order that came in a folder.

        Args:
            folder: the held folder.
            use: how its files may be used.
            if_usable: whether nothing is to be said where they cannot be used.
        """
        container = folder.container(self._words)
        read = read_folder(
            container, folder.files, self._given.insides, self._words, lambda file: folder.earlier(file.name, use)
        )
        if read.fault is None or not if_usable:
            self._keep_folder(container, folder.files, read, folder.note.inbox_folder or None)

    def _keep_folder(self, folder: Folder, files: Sequence[SeenFile], read: Read, card: str | None) -> None:
        self.containers.update(file.identity for file in files if read_extension(file.name) in HAVE_AN_INSIDE)
        self.to_look += read.to_look
        if read.is_arriving:
            self._wait_for_folder(folder, card)
        elif read.fault is not None:
            self._refuse_folder(folder, files, read.fault)
        self.found += (replace(one, file=replace(one.file, folder=card)) for one in read.found)

    def _wait_for_folder(self, folder: Folder, card: str | None) -> None:
        self.arriving.add(group_key(card, read_folder_name(folder.name, self._words).at_its_end.key))

    def _refuse_folder(self, folder: Folder, files: Sequence[SeenFile], fault: str) -> None:
        parts = read_folder_name(folder.name, self._words).at_its_end
        self.unusable.append(
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

    # -- files by themselves ---------------------------------------------------------------------------------------

    def wait_for(self, file: SeenFile) -> None:
        """Wait for a file that is still being written: no order of its name is complete before it is."""
        self.arriving.add(self._key_of(file))
        if read_extension(file.name) == TICKET:
            self.tickets_arriving.add(self._key_of(file))
        self.arriving_files.append(file.name)

    def _key_of(self, file: SeenFile) -> GroupKey:
        return group_key(file.folder, read_name(file.name, self._words).key)

    def leave_alone(self, file: SeenFile) -> None:
        """Leave a file where it is: it is too large to be read or moved."""
        self.left_alone.append(f"{one_line(file.name)}: {too_large(file, MOST_BYTES)}; export it smaller")

    def leave_unread(self, file: SeenFile, *, waited_for: bool) -> None:
        """Leave a file that may not be read; for a while its order does not count as one that lacks a side."""
        self.left_alone.append(f"{one_line(file.name)}: may not be read; give the program the right to read it")
        if waited_for:
            self.arriving.add(self._key_of(file))

    def take(self, file: SeenFile, members: tuple[str, ...] = (), earlier: Earlier | None = None) -> None:
        """Take a file that is complete.

        Args:
            file: from the inbox, or from a held folder.
            members: those of a ZIP that belong to the order; empty for all.
            earlier: where it lies, when it came with an earlier try at the order.
        """
        if file.identity.size > MOST_BYTES:
            self.leave_alone(file)
        elif (why := why_unusable(file)) is not None:
            self.refuse(file, why)
        elif read_extension(file.name) not in HAVE_AN_INSIDE:
            self._keep(unfold(file, None, self._words), members, earlier)
        else:
            self._take_inside(file, members, earlier)

    def _keep(self, found: Iterable[Found], members: tuple[str, ...], earlier: Earlier | None) -> None:
        self.found += [
            replace(one, earlier=earlier)
            for one in found
            if not members or one.member is None or one.member.stored_as in members
        ]

    def _take_inside(self, file: SeenFile, members: tuple[str, ...], earlier: Earlier | None) -> None:
        self.containers.add(file.identity)
        inside = self._given.insides.get(file.identity)
        if inside is None:
            self.to_look.append(file)
            self.arriving.add(self._key_of(file))
        elif isinstance(inside, str):
            self.refuse(file, inside, whole_sentence=True)
        else:
            try:
                found = unfold(file, inside, self._words)
            except ArtUnreadable as error:
                self.refuse(file, str(error), whole_sentence=True)
                return
            self._keep(found, members, earlier)

    def take_back(self, folder: ReturnedFolder, *, whole: bool) -> None:
        """Take a folder that was moved back; while files of it are missing its order waits."""
        self._accept(folder)
        if not whole:
            self.arriving.add(folder.key)
            self.arriving.update(self._key_of(file) for file in folder.files)

    def take_accepted(self, folder: ReturnedFolder) -> None:
        """Take a folder in `held` that was renamed "ORDER ok"; a slow sync may still be moving files of it."""
        self._accept(folder)
        if folder.note.came_in and all(map(self._is_whole, folder.files)):
            self.take_together(folder, EarlierUse.ACCEPTED)
            return
        for file in folder.files:
            if self._is_whole(file) and not folder.note.came_in:
                self._take_of(folder, file, EarlierUse.ACCEPTED)
            else:
                self.wait_for(file)

    def _accept(self, folder: ReturnedFolder) -> None:
        """Remember what the folder's name accepts."""
        if folder.accepts_findings:
            self.accepted[folder.key] = folder.note.seen
        if folder.overrules_check:
            self.overruled.add(folder.key)

    def take_earlier(self, folder: ReturnedFolder, use: EarlierUse) -> None:
        """Take a folder in `held` for whose order newer files have come, but for files that cannot be used."""
        if folder.note.came_in:
            if all(map(self._is_whole, folder.files)):
                self.take_together(folder, use, if_usable=True)
            return
        for file in folder.files:
            if self._is_whole(file):
                before = len(self.unusable)
                self._take_of(folder, file, use)
                del self.unusable[before:]
            elif use is EarlierUse.AWAITED:
                self.wait_for(file)

    def _take_of(self, folder: ReturnedFolder, file: SeenFile, use: EarlierUse) -> None:
        self.take(file, folder.members_of(file.path.name), folder.earlier(file.path.name, use))

    def _is_whole(self, file: SeenFile) -> bool:
        return file.path not in self._given.moving_in_held and _is_complete(file)

    def refuse(self, file: SeenFile, why: str, *, whole_sentence: bool = False) -> None:
        parts = read_name(file.name, self._words).at_its_end
        fault = why if whole_sentence else f"{file.name} {why}."
        self.unusable.append(
            Planned(
                name=parts.order,
                key=parts.key,
                folder=file.folder,
                beside=(Found(file=file, parts=parts),),
                fault=fault,
                fault_code="" if whole_sentence else FILE_UNUSABLE,
            )
        )

    def result(self) -> Gathered:
        """Everything collected."""
        return Gathered(
            table=Table(
                found=tuple(self.found),
                arriving=frozenset(self.arriving),
                tickets_arriving=frozenset(self.tickets_arriving),
                accepted=self.accepted,
                overruled=frozenset(self.overruled),
            ),
            unusable=tuple(self.unusable),
            to_look=tuple({file.path: file for file in self.to_look}.values()),
            arriving=tuple(self.arriving_files),
            containers=frozenset(self.containers),
            arriving_folders=tuple(self.arriving_folders),
            left_alone=(*self.left_alone, *_not_ours(self._given.scan, self._words)),
        )
