"""Classify errors of the disk, and word them for the shop owner: which folder, and what to do."""

import errno
import os
import re
from collections.abc import Callable
from pathlib import Path

from watcher.disk import FileInUse
from watcher.records.journal import JournalTrouble
from watcher.records.plain_text import one_line

_FULL = {errno.ENOSPC, errno.EDQUOT}
_FORBIDDEN = {errno.EACCES, errno.EPERM, errno.EROFS}
_MISSING = {errno.ENOENT, errno.ENOTDIR}
_BUSY = {errno.EMFILE, errno.ENFILE, errno.ENOMEM, errno.EAGAIN}

# What a name or the content itself brings about: trying again later would not help, and must not keep the others.
_OF_THE_FILE = {errno.ENAMETOOLONG, errno.EFBIG, errno.EINVAL, errno.EILSEQ, errno.ELOOP, errno.EISDIR}

_GIVE = "Give the program the right to"
_OURS = re.compile(r"\.(taking|making)-\d+$|\..*\.(part|gone)$")  # what lies there while it is on its way


class WorkerTrouble(OSError):
    """An error of the disk that a worker reports."""


class FolderGone(OSError):
    """A folder of the print folder is missing, or its drive is."""


def is_of_the_disk(error: OSError) -> bool:
    """Whether the cause is the disk, a permission or a mount and not this one file: a later try may succeed."""
    if error.errno is None:  # the libraries that open art raise it like that over its content
        return isinstance(error, FolderGone | JournalTrouble | WorkerTrouble)
    return error.errno not in _OF_THE_FILE


def is_for_want_of_room(error: OSError) -> bool:
    """Whether a disk is full, or may be: for the journal's and a worker's errors the cause is not known."""
    return error.errno in _FULL or isinstance(error, JournalTrouble | WorkerTrouble)


def say_trouble(error: OSError) -> str:
    """The message for the shop owner, without a full stop."""
    if error.errno is None:
        return one_line(str(error))
    place = _place(error)
    if error.errno in _FULL:
        return f"the disk is full: nothing more can be written{_in(place)}. Make room there"
    if error.errno in _FORBIDDEN:
        said = f"writing is not allowed{_in(place)}. {_GIVE} write there, or unlock the disk"
        return _say_forbidden(error) or (_say_in_use(error) if isinstance(error, FileInUse) else said)
    if error.errno in _MISSING:
        return f"{place or 'a folder'} is missing. Put it back, or connect its drive"
    if error.errno in _BUSY:
        return f"this computer is short of memory ({os.strerror(error.errno)}). Close other programs"
    return f"the disk does not do its work{_in(place)}: {os.strerror(error.errno)}. Look at the drive or the network"


def _say_forbidden(error: OSError) -> str | None:
    """The message for a missing permission and its place, as the system tells now; None when none is missing."""
    for path in _named(error):
        for folder in reversed(path.parents):
            if _is(Path.is_dir, folder) and not os.access(folder, os.X_OK):
                return f"opening the folder {one_line(str(folder))} is not allowed. {_GIVE} read and open it"
        if _is(Path.is_dir, path) and not os.access(path, os.R_OK | os.X_OK):
            return f"reading the folder {one_line(str(path))} is not allowed. {_GIVE} read and open it"
        if _is(Path.is_file, path) and not os.access(path, os.R_OK):
            return f"reading {one_line(str(path))} is not allowed. {_GIVE} read it"
        place = _for_people(path)
        if _is(Path.is_dir, place) and not os.access(place, os.W_OK):
            return f"writing is not allowed in {one_line(str(place))}. {_GIVE} write there, or unlock the disk"
        if _is(Path.is_file, path) and not os.access(path, os.W_OK):
            return f"writing to {one_line(str(path))} is not allowed. {_GIVE} write to it"
    return None


def _say_in_use(error: FileInUse) -> str:
    """The message for a file that another program has open: no right is missing."""
    path = next((path for path in _named(error) if not _OURS.match(path.name)), None)
    shown = "a file" if path is None else one_line(path.name)
    folder = one_line(str(_for_people(path or _named(error)[0])))
    return (
        f"{shown} in {folder} cannot be moved or removed: another program has it open, such as a virus scanner, a sync"
        " program or a viewer. Close it there"
    )


def _is(kind: Callable[[Path], bool], path: Path) -> bool:
    """`kind(path)`, or False where that cannot be found out."""
    try:
        return kind(path)
    except OSError:
        return False


def _named(error: OSError) -> list[Path]:
    return [Path(os.fsdecode(name)) for name in (error.filename, error.filename2) if isinstance(name, str | bytes)]


def _in(place: str) -> str:
    return f" in {place}" if place else ""


def _place(error: OSError) -> str:
    """The folder that the error is about, as the shop owner knows it; empty when the error names none."""
    named = _named(error)
    if not named:
        return ""
    if error.errno in _MISSING:
        return one_line(str(_first_missing(min(named, key=lambda path: path.parent.is_dir()))))
    return one_line(str(_for_people(min(named, key=lambda path: os.access(path.parent, os.W_OK)))))


def _first_missing(path: Path) -> Path:
    while not path.parent.exists() and path.parent != path:
        path = path.parent
    return path


def _for_people(path: Path) -> Path:
    """The nearest folder that the shop owner knows: working folders of ours (`.taking-1`) are left out."""
    ours = [index for index, part in enumerate(path.parts) if _OURS.match(part)]
    return Path(*path.parts[: ours[0]]) if ours else path.parent
