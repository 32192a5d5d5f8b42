"""What the tests of moves need: the longest name, what lies in a folder, what a handle is."""

import os
import stat
from pathlib import Path

LONGEST = "é" * 100 + "春" * 18  # 254 bytes of UTF-8; file systems take 255


def tree(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def kind(handle: int) -> str:
    return "folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file"
