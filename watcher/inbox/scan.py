"""List the inbox. No file is opened and no link is followed."""

import os
import stat
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from watcher.inbox.file_names import compare_key, is_temporary, is_unfinished

HELD_TICKET = "held.toml"

# Files that a sync program shows but has not fetched yet: reading one would start the download. Source: the file
# attribute constants OFFLINE, RECALL_ON_OPEN and RECALL_ON_DATA_ACCESS of Windows; SF_DATALESS of macOS.
_PLACEHOLDER_ATTRIBUTES = 0x1000 | 0x40000 | 0x400000
_PLACEHOLDER_FLAGS = 0x40000000


@dataclass(frozen=True, kw_only=True, slots=True)
class Identity:
    """Identifies a file and its state: equal for the same, unchanged file."""

    device: int
    inode: int
    size: int
    mtime_ns: int
    ctime_ns: int

    @classmethod
    def of(cls, status: os.stat_result) -> "Identity":
        """The identity that a stat shows."""
        return cls(
            device=status.st_dev,
            inode=status.st_ino,
            size=status.st_size,
            mtime_ns=status.st_mtime_ns,
            ctime_ns=status.st_ctime_ns,
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class SeenFile:
    """An ordinary file at the top of the inbox or in a card's folder.

    Attributes:
        path: where it lies.
        folder: the card whose folder it lies in, as the settings spell it; None at the top.
        name: the file's name, as the system gives it.
        identity: what it was when seen.
    """

    path: Path
    folder: str | None
    name: str
    identity: Identity


@dataclass(frozen=True, kw_only=True)
class SeenFolder:
    """A folder that is no card's: a held order that came back, an order in a folder, or something else.

    Attributes:
        path: where it lies.
        name: its name.
        card: the card in whose folder it lies, as the settings spell it; None at the top.
        identity: of the folder itself: another one when something in it comes or goes.
        has_held_toml: whether it says that it was held.
        files: the ordinary files directly inside, the held ticket among them.
        unfinished: files of temporary names that tell of more to come.
        unfetched: names of files that a sync program shows but has not fetched; they are not opened.
        strange: folders, links and other things in it that are no ordinary files.
    """

    path: Path
    name: str
    has_held_toml: bool
    files: tuple[tuple[str, Identity], ...]
    card: str | None = None
    identity: Identity
    unfinished: tuple[SeenFile, ...] = ()
    unfetched: tuple[str, ...] = ()
    strange: tuple[str, ...] = ()

    @property
    def seen_files(self) -> tuple[SeenFile, ...]:
        """Its ordinary files."""
        return tuple(
            SeenFile(path=self.path / name, folder=self.card, name=name, identity=identity)
            for name, identity in self.files
        )

    @property
    def itself(self) -> SeenFile:
        """The folder, to be watched like a file: it has rested when nothing in it has come or gone."""
        return SeenFile(path=self.path, folder=self.card, name=self.name, identity=self.identity)


@dataclass(frozen=True, kw_only=True)
class Scan:
    """What lay in the inbox at one moment, each part in the order of names.

    Attributes:
        files: may be taken once they have rested.
        folders: held orders that came back, orders in folders, and other folders.
        ignored: temporary names and placeholders, as paths inside the inbox.
        refused: links, pipes, sockets, devices and folders that may not be read.
    """

    files: tuple[SeenFile, ...] = ()
    folders: tuple[SeenFolder, ...] = ()
    ignored: tuple[str, ...] = ()
    refused: tuple[Path, ...] = ()


def scan(inbox: Path, card_names: Iterable[str], is_held: Callable[[Path], bool] = lambda _folder: True) -> Scan:
    """List the top level of the inbox, the folders in it, and those in the folders of cards.

    A folder is a card's when its name is the card's in any case and composition, unless it holds a `held.toml` by
    which `is_held` knows a held order: somebody's own file of that name closes no card's folder.

    Args:
        inbox: may be a link to the folder; links inside it are never followed.
        card_names: the cards of the settings.
        is_held: tells of a card's folder with a `held.toml` in it whether it is a held order.

    Raises:
        OSError: the inbox is missing (FileNotFoundError), no folder, or cannot be read: nothing was seen, which is
            not the same as an empty inbox.
    """
    cards = {compare_key(name): name for name in card_names}
    seen = _Collector(inbox, is_held)
    for path, status in _entries(inbox, seen.ignored):
        if stat.S_ISDIR(status.st_mode):
            seen.take_folder(path, status, cards)
        else:
            seen.take_file(path, status, None)
    return seen.result()


class _Collector:
    """Collects one scan."""

    def __init__(self, inbox: Path, is_held: Callable[[Path], bool]) -> None:
        self._inbox, self._is_held = inbox, is_held
        self._files: list[SeenFile] = []
        self._folders: list[SeenFolder] = []
        self.ignored: list[str] = []
        self._refused: list[Path] = []

    def take_file(self, path: Path, status: os.stat_result, folder: str | None) -> None:
        if is_temporary(path.name) or _is_placeholder(status):
            self._ignore(path)
        elif stat.S_ISREG(status.st_mode):
            self._files.append(SeenFile(path=path, folder=folder, name=path.name, identity=Identity.of(status)))
        else:
            self._refused.append(path)

    def take_folder(self, path: Path, status: os.stat_result, cards: Mapping[str, str]) -> None:
        inside = self._inside(path)
        if inside is None:
            return
        card = cards.get(compare_key(path.name))
        is_held = any(entry.name == HELD_TICKET for entry, _ in inside)
        if is_held and (card is None or self._is_held(path)):
            self._folders.append(_seen_folder(path, status, inside, None))
        elif is_temporary(path.name):
            self._ignore(path)
        elif card is not None:
            self._take_card_folder(inside, card)
        else:
            self._folders.append(_seen_folder(path, status, inside, None))

    def _take_card_folder(self, inside: list[tuple[Path, os.stat_result]], card: str) -> None:
        for path, status in inside:
            if stat.S_ISDIR(status.st_mode):
                self._take_folder_of_card(path, status, card)
            else:
                self.take_file(path, status, card)

    def _take_folder_of_card(self, path: Path, status: os.stat_result, card: str) -> None:
        """An order in a folder; a held order may be put back into the folder of its card as well."""
        inside = self._inside(path)
        if inside is None:
            return
        if is_temporary(path.name) and not any(entry.name == HELD_TICKET for entry, _ in inside):
            self._ignore(path)
        else:
            self._folders.append(_seen_folder(path, status, inside, card))

    def _inside(self, path: Path) -> list[tuple[Path, os.stat_result]] | None:
        """What lies in a folder; None for one that is hidden, gone, or may not be read."""
        if path.name.startswith("."):
            self._ignore(path)
            return None
        try:
            return list(_entries(path))
        except FileNotFoundError:
            return None
        except PermissionError:
            self._refused.append(path)
            return None

    def _ignore(self, path: Path) -> None:
        self.ignored.append(str(path.relative_to(self._inbox)))

    def result(self) -> Scan:
        return Scan(
            files=tuple(self._files),
            folders=tuple(self._folders),
            ignored=tuple(self.ignored),
            refused=tuple(self._refused),
        )


def _seen_folder(
    path: Path, status: os.stat_result, inside: list[tuple[Path, os.stat_result]], card: str | None
) -> SeenFolder:
    ordinary: list[tuple[str, Identity]] = []
    unfinished: list[SeenFile] = []
    unfetched: list[str] = []
    strange: list[str] = []
    for entry, found in inside:
        is_file, identity = stat.S_ISREG(found.st_mode), Identity.of(found)
        if is_temporary(entry.name):
            if is_file and is_unfinished(entry.name):
                unfinished.append(SeenFile(path=entry, folder=card, name=entry.name, identity=identity))
        elif not is_file:
            strange.append(entry.name)
        elif _is_placeholder(found):
            unfetched.append(entry.name)
        else:
            ordinary.append((entry.name, identity))
    return SeenFolder(
        path=path,
        name=path.name,
        card=card,
        identity=Identity.of(status),
        has_held_toml=any(name == HELD_TICKET for name, _ in ordinary),
        files=tuple(ordinary),
        unfinished=tuple(unfinished),
        unfetched=tuple(unfetched),
        strange=tuple(strange),
    )


def _entries(folder: Path, temporary: list[str] | None = None) -> Iterator[tuple[Path, os.stat_result]]:
    """What lies directly in a folder, by name; what vanishes between the two looks is left out.

    Given a list for them, names of files that are temporary go there, and the files are not looked at: there may be
    thousands.
    """
    with os.scandir(folder) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        if temporary is not None and is_temporary(entry.name) and not entry.is_dir(follow_symlinks=False):
            temporary.append(entry.name)
            continue
        path = folder / entry.name
        try:
            status = path.lstat()
        except FileNotFoundError:
            continue
        yield path, status


def _is_placeholder(status: os.stat_result) -> bool:
    attributes = getattr(status, "st_file_attributes", 0) & _PLACEHOLDER_ATTRIBUTES
    return bool(attributes or getattr(status, "st_flags", 0) & _PLACEHOLDER_FLAGS)
