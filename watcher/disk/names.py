"""Names of files that are short enough, and free."""

import os
from collections.abc import Callable
from pathlib import Path

_MOST_NAME_BYTES = 255  # of a file's name on the usual file systems (ext4, APFS, NTFS in signs); some take fewer
_MOST_ENDING_BYTES = 16  # what is longer behind the last dot is no ending


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
