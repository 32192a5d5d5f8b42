"""Recognise temporary names and conflict copies, and compare names whatever their case and accents."""

import re
import unicodedata

_TEMPORARY_STARTS = (".", "~")
_TEMPORARY_ENDS = (
    "~",
    ".tmp",
    ".temp",
    ".part",
    ".partial",
    ".filepart",
    ".crdownload",
    ".opdownload",
    ".crswap",
    ".download",
    ".icloud",
    ".swp",
)
_SYSTEM_NAMES = {
    "thumbs.db",
    "ehthumbs.db",
    "desktop.ini",
    "icon\r",
    "@eadir",
    "@tmp",
    "@recycle",
    "#recycle",
    "#snapshot",
    "__macosx",
    "$recycle.bin",
    "system volume information",
    "lost+found",
}
_ART_ENDINGS = (".png", ".jp", ".tif", ".webp", ".pdf", ".zip", ".toml")
_CONFLICT = re.compile(
    r"\([^()]*conflict[^()]*\)"  # (conflicted copy 2026-05-01), (Case Conflict), (name's conflicted copy)
    r"|[-_.]sync-conflict-\d"  # menu.sync-conflict-20260501-101112-ABCDEFG.png
    r"|[-_]conflict-\d",  # menu-conflict-20260501.png, menu_conflict-20260501-101112.png
)


def compare_key(name: str) -> str:
    """The form in which names are compared: equal for any case and any composition of accents.

    Works on names that are not UTF-8 too (lone surrogates stay as they are).

    Source: Unicode Standard, 3.13, D145 (canonical caseless matching), then composed (NFC).
    """
    folded = unicodedata.normalize("NFD", name).casefold()
    return unicodedata.normalize("NFC", folded)


def is_temporary(name: str) -> bool:
    """Whether editors, browsers, sync programs or the system itself use such a name for a file that is not finished.

    Source: what public ignore lists have in common; no standard says so.
    """
    folded = name.casefold()
    return folded.startswith(_TEMPORARY_STARTS) or folded.endswith(_TEMPORARY_ENDS) or folded in _SYSTEM_NAMES


def is_unfinished(name: str) -> bool:
    """Whether such a name, in a folder, tells of art that is still being fetched: `.front.png.Ab3dEf`, `a.crdownload`.

    Not so what systems and file managers add for good.
    """
    folded = name.casefold()
    if not is_temporary(name) or folded in _SYSTEM_NAMES or folded.startswith("._"):
        return False
    return folded.endswith(_TEMPORARY_ENDS) or any(ending in folded for ending in _ART_ENDINGS)


def is_of_the_system(name: str) -> bool:
    """Whether a file manager or the system puts files of this name into folders by itself, again and again."""
    folded = name.casefold()
    return folded in _SYSTEM_NAMES or folded.startswith("._") or folded in {".ds_store", ".directory", ".localized"}


def is_conflict_copy(name: str) -> bool:
    """Whether a sync program gave the file this name because two versions of it met.

    Such a copy has a good ending and may be older or newer than its namesake: it is flagged, never paired.
    """
    return _CONFLICT.search(name.casefold()) is not None


def read_extension(file_name: str) -> str:
    """A name's ending, lower case, without the dot; empty when there is none."""
    return file_name.rpartition(".")[2].strip().lower() if "." in file_name else ""
