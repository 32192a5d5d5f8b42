"""How much a task has written so far, and how much it may; Linux.

The kernel limits the size of each file (RLIMIT_FSIZE), not their number and sum: a file that takes a task over could
fill the disk. So it is counted from outside what the task's process has written, deleted files included.
"""

import os
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from watcher.work.answer import FILE_BYTES

LOOK_EVERY_S = 1.0
MOST_WRITTEN_BYTES = 3 * FILE_BYTES
MOST_NAMES = 5_000  # of files and folders; 500 designs that all have two pictures make 1,000


def why_too_much(process: int, folders: Iterable[Path]) -> str | None:
    """Say in plain words why a task must be ended for what it has written; None when it may go on.

    Args:
        process: its number.
        folders: where it may write.
    """
    if _written_by(process) > MOST_WRITTEN_BYTES:
        return f"it wrote more than {MOST_WRITTEN_BYTES / 1e9:.0f} GB"
    names = (name for folder in folders for name in _names_in(folder))
    if any(True for place, _ in enumerate(names) if place >= MOST_NAMES):
        return f"it made more than {MOST_NAMES:,} files"
    return None


def _written_by(process: int) -> int:
    """How many bytes a process has written, by calls or through mapped memory; 0 where the kernel does not count.

    Source: proc_pid_io(5), `wchar` and `write_bytes`.
    """
    if sys.platform != "linux":
        return 0
    try:
        lines = Path(f"/proc/{process}/io").read_text().splitlines()
    except OSError:
        return 0
    counts = {name: int(count) for name, _, count in (line.partition(":") for line in lines)}
    return max(counts.get("wchar", 0), counts.get("write_bytes", 0))


def _names_in(folder: Path) -> Iterator[str]:
    for _, folders, files in os.walk(folder):
        yield from folders
        yield from files
