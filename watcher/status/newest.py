"""Find the newest folders in a folder, however many there are."""

import os
from pathlib import Path


def newest_folders(parent: Path, most: int) -> tuple[list[Path], int]:
    """The folders directly in `parent` that were changed last, newest first, and how many more there are.

    Hidden ones (half-built products among them) and links count for nothing; a folder that is not there has none.
    """
    found: list[tuple[int, str]] = []
    try:
        with os.scandir(parent) as entries:
            for entry in entries:
                if not entry.name.startswith("."):
                    found += _dated(entry)
    except OSError:
        return [], 0
    found.sort(reverse=True)
    return [parent / name for _, name in found[:most]], max(0, len(found) - most)


def _dated(entry: "os.DirEntry[str]") -> list[tuple[int, str]]:
    try:
        if entry.is_dir(follow_symlinks=False):
            return [(entry.stat(follow_symlinks=False).st_mtime_ns, entry.name)]
    except OSError:
        pass  # gone at this moment
    return []
