"""Say which walls this system does not have; light to import, for it is asked by every `print-folder status`."""

import sys

from watcher.work.walls.landlock import landlock_version
from watcher.work.walls.seccomp import processor_here


def missing_walls() -> str | None:
    """Say in a sentence for people which wall this system does not have; None where it has all."""
    if sys.platform != "linux":
        return "Files are opened without walls around them: only Linux has those that this program knows."
    lacks = []
    if not landlock_version():
        lacks.append("the rest of the disk is not closed to them (Landlock: Linux 5.13 or newer, switched on)")
    if processor_here() is None:
        lacks.append("what they may ask of the system is not limited (seccomp: not for this kind of processor)")
    return f"Files are opened with fewer walls around them: {'; '.join(lacks)}." if lacks else None
