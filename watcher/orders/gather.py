"""Sort the files of the inbox, of returned folders and of held into what can be paired now and what cannot."""

import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from watcher.errors import ArtUnreadable
from watcher.inbox.complete import Completeness, how_complete
from watcher.inbox.formats import ART, HAVE_AN_INSIDE, ZIP, say_formats
from watcher.inbox.inside import Inside
from watcher.inbox.names import ART_KINDS, CONTAINER, TICKET, is_conflict_copy, read_extension, read_name
from watcher.inbox.scan import Identity, Scan, SeenFile
from watcher.inbox.settle import Rested
from watcher.inbox.unpack import Earlier, Found, unfold
from watcher.orders.held_note import read_held_note
from watcher.orders.model import GroupKey, Planned
from watcher.orders.pairing import Table, group_key
from watcher.orders.returned import Fresh, ReturnedFolder, how_used
from watcher.records.plain_text import one_line
from watcher.settings.model import NameSettings
from watcher.terms import EarlierUse

Insides = Mapping[Identity, "Inside | str"]  # what a ZIP, PDF or TIFF holds, or why it cannot be used

# Our own limits, far above any honest export. A file beyond the last one is not even moved: hashing it takes minutes.
MOST_ART_BYTES = 500_000_000
MOST_ZIP_BYTES = 1_000_000_000
MOST_BYTES = 2_000_000_000

_WHY_NOT = {
    False: "a folder that is no card's",
    True: "its held.toml is damaged; put the art in it into the inbox itself, and delete the folder",
}
_KINDS = say_formats((*ART, ZIP), "or")


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
    """

    table: Table
    unusable: tuple[Planned, ...]
    to_look: tuple[SeenFile, ...]
    arriving: tuple[str, ...]
    containers: frozenset[Identity]
    left_alone: tuple[str, ...]


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
    rested, give_up_s = given.rested, given.give_up_s
    came_back = {folder.path: folder for folder in given.returned}
    for file in rested.ready:
        folder = came_back.get(file.path.parent)
        if folder is None:
            work.take(file)
        else:
            use = EarlierUse.ACCEPTED if folder.accepted else EarlierUse.WANTED
            work.take(file, folder.members_of(file.name), folder.earlier(file.name, use))
    for file in rested.moving:
        if file.identity.size > MOST_BYTES:
            work.leave_alone(file)
        elif file.path in rested.stuck_since and not os.access(file.path, os.R_OK):
            work.leave_unread(file, waited_for=rested.stuck_since[file.path] < give_up_s)
        elif rested.stuck_since.get(file.path, -1.0) < give_up_s:
            work.wait_for(file)
        else:
            work.refuse(file, "is not complete: its end is missing. Export or copy it again")
    moving = {file.path for file in rested.moving}
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


def _not_ours(scan: Scan) -> Iterator[str]:
    for folder in scan.folders:
        if read_held_note(folder.path) is None:
            yield f"{one_line(folder.name)}: {_WHY_NOT[folder.has_held_toml]}"
    for path in scan.refused:
        yield f"{one_line(path.name)}: a link, a device or a folder that may not be read"


def _too_large(file: SeenFile, most: int) -> str:
    return f"is {file.identity.size / 1e6:,.0f} MB; {most / 1e6:,.0f} MB is the most"


class _Gathering:
    """Collects files while they are sorted."""

    def __init__(self, given: ToGather) -> None:
        self._given, self._words = given, given.words
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
        self.left_alone.append(f"{one_line(file.name)}: {_too_large(file, MOST_BYTES)}; export it smaller")

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
        extension = read_extension(file.name)
        most = MOST_ZIP_BYTES if extension == CONTAINER else MOST_ART_BYTES
        if file.identity.size > MOST_BYTES:
            self.leave_alone(file)
        elif is_conflict_copy(file.name):
            self.refuse(
                file, "is a copy that a sync program made because two versions were saved. Keep the one you mean"
            )
        elif extension not in ART_KINDS | {CONTAINER, TICKET}:
            self.refuse(file, f"is not a kind of file that can be printed. Export {_KINDS}")
        elif file.identity.size > most:
            self.refuse(file, f"{_too_large(file, most)}. Export it smaller")
        elif extension not in HAVE_AN_INSIDE:
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
        for file in folder.files:
            if self._is_whole(file):
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
        for file in folder.files:
            if self._is_whole(file):
                before = len(self.unusable)
                self._take_of(folder, file, use)
                del self.unusable[before:]
            elif use is EarlierUse.AWAITED:
                self.wait_for(file)

    def _take_of(self, folder: ReturnedFolder, file: SeenFile, use: EarlierUse) -> None:
        self.take(file, folder.members_of(file.name), folder.earlier(file.name, use))

    def _is_whole(self, file: SeenFile) -> bool:
        return file.path not in self._given.moving_in_held and _is_complete(file)

    def refuse(self, file: SeenFile, why: str, *, whole_sentence: bool = False) -> None:
        parts = read_name(file.name, self._words)
        fault = why if whole_sentence else f"{file.name} {why}."
        self.unusable.append(
            Planned(
                name=parts.order,
                key=parts.key,
                folder=file.folder,
                beside=(Found(file=file, parts=parts),),
                fault=fault,
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
            left_alone=(*self.left_alone, *_not_ours(self._given.scan)),
        )
