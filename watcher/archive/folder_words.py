"""Read what people say by renaming an order's folder in the outbox: `ORDER print`, `ORDER print 3`, `ORDER printed`.

Which order a folder belongs to is told by the files in it, whatever the folder is called: an order may itself be named
`spring print`. The words stand behind the order's name, after spaces, `_` or `-`, in any case; a phone's keyboard may
have put a space or a full stop behind them.
"""

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice
from pathlib import Path

from watcher.inbox.file_names import compare_key, is_conflict_copy

PRINTED = "printed"  # the folder in the outbox for orders that are printed
MOST_SHEETS = 5000
_MOST_FILES = 5000  # names looked at in one folder

SHEETS_NAME = re.compile(r"_(?:layout-(?P<layout>[0-9]+)_)?(?P<kind>sheets|1-fronts|2-backs)\.pdf")
_GAPS = re.compile(r"[\s_\-.]+")
_COUNTED = re.compile(r"(?P<word>print|printed) ?x?(?P<sheets>0*[1-9][0-9]{0,3})")


class Word(StrEnum):
    """What stands behind an order's name."""

    NONE = ""
    PRINT = "print"  # send what is still wanted, or so many sheets
    PRINTED = "printed"  # all of it is printed, or so many sheets are
    FRONTS_PRINTED = "fronts printed"  # the stack waits for its backs
    PERHAPS_PRINTED = "perhaps printed"  # a person must look into the tray
    NOT_PRINTED = "not printed"  # nothing was sent, and a file in the folder says why
    OTHER = "other"  # something of the owner's own

    @property
    def is_answer(self) -> bool:
        """Whether a person has written it to have something done."""
        return self in (Word.PRINT, Word.PRINTED)


@dataclass(frozen=True, kw_only=True)
class FolderWords:
    """What the name of a folder in the outbox says.

    Attributes:
        order: the name of the order or the run whose sheets lie in it.
        word: what stands behind it.
        sheets: how many, where it says so.
    """

    order: str
    word: Word
    sheets: int | None = None


def sheet_kind(folder: str, file: str) -> tuple[int, str] | None:
    """Which layout's sheets a file holds (0: there is but one) and which sides; None when it holds no sheets."""
    found = SHEETS_NAME.fullmatch(file.removeprefix(folder)) if file.startswith(folder) else None
    return (int(found["layout"] or 0), found["kind"]) if found else None


def read_words(folder: str, files: Iterable[str]) -> FolderWords | None:
    """Give what the name of a folder says; None where no sheets of its name lie in it.

    Args:
        folder: its name.
        files: the names of the files in it.
    """
    key = compare_key(folder)
    orders = {name[: found.start()] for name in files if (found := _sheets_at_end(name))}
    fitting = [order for order in orders if key.startswith(compare_key(order))]
    if not fitting:
        return None
    order = max(fitting, key=len)
    rest = key[len(compare_key(order)) :]
    if not rest:
        return FolderWords(order=order, word=Word.NONE)
    if is_conflict_copy(folder) or not _GAPS.match(rest):
        return FolderWords(order=order, word=Word.OTHER)
    said = _GAPS.sub(" ", rest).strip()
    counted = _COUNTED.fullmatch(said)
    if counted and int(counted["sheets"]) <= MOST_SHEETS:
        return FolderWords(order=order, word=Word(counted["word"]), sheets=int(counted["sheets"]))
    return FolderWords(order=order, word=next((word for word in Word if word == said), Word.OTHER))


def _sheets_at_end(name: str) -> re.Match[str] | None:
    at = name.rfind("_layout-")
    start = at if at > 0 else max(name.rfind("_sheets"), name.rfind("_1-fronts"), name.rfind("_2-backs"))
    return SHEETS_NAME.fullmatch(name, start) if start > 0 else None


def files_in(folder: Path) -> set[str]:
    """The names of the ordinary files in a folder, as many as are worth looking at; none where it is gone."""
    try:
        with os.scandir(folder) as entries:
            return {entry.name for entry in islice(entries, _MOST_FILES) if entry.is_file(follow_symlinks=False)}
    except OSError:
        return set()


def folders_of(outbox: Path, order: str) -> Iterator[Path]:
    """Give the folders in the outbox in which an order's sheets lie, the one of its plain name first."""
    key = compare_key(order)
    plain = outbox / order
    if _is_of(plain, order):
        yield plain
    try:
        with os.scandir(outbox) as entries:
            names = [entry.name for entry in entries if entry.is_dir(follow_symlinks=False)]
    except OSError:
        return
    for name in sorted(names):
        if name != order and compare_key(name).startswith(key) and _is_of(outbox / name, order):
            yield outbox / name


def folder_of(outbox: Path, order: str) -> Path:
    """Give the folder in the outbox in which an order's sheets lie, also when somebody has put a word behind its name.

    That of its plain name where there is none.
    """
    return next(folders_of(outbox, order), outbox / order)


def _is_of(folder: Path, order: str) -> bool:
    words = read_words(folder.name, files_in(folder))
    return words is not None and words.order == order
