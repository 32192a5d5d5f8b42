"""Names of files that are short enough, also with their folders before them, and free."""

import os
import sys
import unicodedata
from collections.abc import Callable, Iterable
from pathlib import Path

_MOST_NAME_BYTES = 255  # of a file's name on the usual file systems (ext4, APFS, NTFS in signs); some take fewer
_MOST_ENDING_BYTES = 16  # what is longer behind the last dot is no ending

# Of a path, in signs. Windows takes 259, and 247 for a folder's (its MAX_PATH); macOS 1023 bytes. Sync programs and
# memory cards take other numbers: some room is left.
MOST_PATH_SIGNS = 240 if sys.platform == "win32" else 1000
_BEHIND_A_NAME = 32  # what is put behind an order's name for its files: `_layout-12_1-fronts.pdf`, `-2`, `.part`
_LEAST_SIGNS = 12
_KEPT_END_SIGNS = 30  # of a file's name that is shortened: quantity, side and ending stand there


def fitting_order_name(name: str, folders: Iterable[Path]) -> str:
    """An order's name, shortened where the paths of its files would be too long in one of the folders.

    It stands twice in them: `outbox/ORDER/ORDER_instructions.pdf`.
    """
    most = _most_of_order(_room_in(folders))
    return name if len(name) <= most else _cut_signs(name, most).rstrip(" .")


def fitting_file_name(name: str, folders: Iterable[Path]) -> str:
    """A file's name, shortened before its last 30 signs where its path would be too long in an order's folder."""
    room = _room_in(folders)
    most = max(_LEAST_SIGNS + _KEPT_END_SIGNS, room - _most_of_order(room) - _BEHIND_A_NAME // 2)
    if len(name) <= most:
        return name
    return _cut_signs(name, most - _KEPT_END_SIGNS) + name[-_KEPT_END_SIGNS:]


def unshortened_name(name: str, order: str) -> str:
    """The name that a file had before `fitting_file_name`, told by its order's name; any other is given as it is."""
    start, end = name[:-_KEPT_END_SIGNS], name[-_KEPT_END_SIGNS:]
    if len(start) < _LEAST_SIGNS or not order.startswith(start) or name.startswith(order):
        return name
    shared = next((signs for signs in range(len(end), 0, -1) if order.endswith(end[:signs])), 0)
    return order + end[shared:] if shared else name


def _most_of_order(room: int) -> int:
    return max(_LEAST_SIGNS, min(room // 3, (room - _BEHIND_A_NAME) // 2))


def _room_in(folders: Iterable[Path]) -> int:
    return MOST_PATH_SIGNS - max(len(str(folder)) for folder in folders) - len("//")


def _cut_signs(name: str, most: int) -> str:
    """The start of a name; no letter is parted from its accents."""
    while most and unicodedata.combining(name[most]):
        most -= 1
    return name[:most]


def cut_name(name: str, most_bytes: int) -> str:
    """The longest start of a name that takes at most `most_bytes`; no character is cut in two."""
    while len(os.fsencode(name)) > most_bytes:
        name = name[:-1]
    return name


def longer_name(name: str, addition: str) -> str:
    """A file's name with `addition` before its ending; the stem is shortened where the name would be too long."""
    stem, ending = Path(name).stem, Path(name).suffix
    if len(os.fsencode(ending)) > _MOST_ENDING_BYTES:
        stem, ending = name, ""
    return cut_name(stem, _MOST_NAME_BYTES - len(os.fsencode(addition + ending))) + addition + ending


def free_name(name: str, taken: Callable[[str], bool]) -> str:
    """`name`, or the first of `name-2`, `name-3`, … that is not taken."""
    number = 1
    while taken(candidate := name if number == 1 else f"{name}-{number}"):
        number += 1
    return candidate


def is_bare_name(name: str) -> bool:
    """Whether it names something inside a folder, and nothing anywhere else."""
    return name not in ("", ".", "..") and Path(name).name == name and "\0" not in name
