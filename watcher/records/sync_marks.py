"""Tell whether a folder lies in one that a sync program keeps, by what such programs leave in the root of theirs.

A journal that is copied half-written to another machine, or overwritten from there, is spoiled.
"""

import os
from collections.abc import Iterable, Iterator
from contextlib import suppress
from fnmatch import fnmatchcase
from pathlib import Path

# From memory and from the programs' own handbooks; `*` stands for any letters.
_FILES = (".dropbox",)  # a folder of this name, in a home, is none: it holds that program's own settings
_ANY = (
    ".dropbox.cache",
    ".stfolder",
    ".stversions",
    ".stignore",
    ".sync/ID",
    ".sync/Archive",
    ".sync_*.db",
    "._sync_*.db",
    ".owncloudsync.log",
    ".nextcloudsync.log",
    ".csync_journal.db",
    ".tmp.drivedownload",
    ".tmp.driveupload",
    ".SynologyWorkingDirectory",
    ".megaignore",
    ".849C9593-D756-4E56-8D6E-42412F2A707B",
)


def synced_folder(folder: Path, more: Iterable[str] = ()) -> tuple[Path, str] | None:
    """The folder above, or this one, that a sync program keeps, and the mark in it; None where none is found.

    Args:
        folder: it need not be there.
        more: further names that such programs leave; `*` stands for any letters.
    """
    names = (*_ANY, *more)
    for place in _places(folder):
        for path in _found(place, names):
            return place, path.relative_to(place).as_posix()
    return None


def _places(folder: Path) -> Iterator[Path]:
    """The folder and all above it, as written and with links followed."""
    written, end = folder.absolute(), folder.resolve()
    yield from dict.fromkeys((written, *written.parents, end, *end.parents))


def _found(place: Path, names: Iterable[str]) -> Iterator[Path]:
    with suppress(OSError):  # a folder that may not be read tells nothing
        yield from (place / name for name in _FILES if (place / name).is_file())
        yield from (place / name for name in names if "*" not in name and os.path.lexists(place / name))
        patterns = [name for name in names if "*" in name]  # the folder is listed once for all of them
        yield from sorted(path for path in place.iterdir() if any(fnmatchcase(path.name, one) for one in patterns))
