"""What this computer has for the program: memory and cores, or less where its unit or container has a limit.

Sources: proc(5), /proc/meminfo and /proc/pid/cgroup; the kernel's cgroup-v2 (memory.max) and cgroup-v1 memory
(memory.limit_in_bytes) documents. A limit holds for all that lies below it, so every folder on the way up counts.
"""

import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

_GROUPS = "sys/fs/cgroup"


@dataclass(frozen=True, kw_only=True)
class Machine:
    """What the program may use.

    Attributes:
        memory_bytes: in all; None where it cannot be told (Windows).
        cores: at the least one.
    """

    memory_bytes: int | None
    cores: int


def this_machine() -> Machine:
    """Give what this computer has for the program."""
    limits = [*memory_told(Path("/")), *_memory_known_to_python()]
    return Machine(memory_bytes=min(limits, default=None), cores=_cores())


def memory_told(root: Path) -> tuple[int, ...]:
    """Give what the files of a system below `root` say of the memory, bytes: what there is, and each limit to it."""
    return (*_memory_there(root), *_memory_allowed(root))


def _memory_known_to_python() -> tuple[int, ...]:
    """What the C library says there is: a unit may hide /proc/meminfo (ProcSubset), and macOS has none."""
    if sys.platform == "win32":
        return ()
    return (os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE"),)


def _cores() -> int:
    if sys.platform == "linux":
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _memory_there(root: Path) -> Iterator[int]:
    for line in _lines(root / "proc/meminfo"):
        name, _, rest = line.partition(":")
        if name == "MemTotal":
            yield int(rest.split()[0]) * 1024  # written with kB, meant as KiB: proc(5)


def _memory_allowed(root: Path) -> Iterator[int]:
    """The limits of the group of processes that this one is in, and of those around it."""
    for line in _lines(root / "proc/self/cgroup"):
        number, _, rest = line.partition(":")
        kinds, _, place = rest.partition(":")
        if number == "0":
            yield from _limits_up(root / _GROUPS, place, "memory.max")
        elif "memory" in kinds.split(","):
            yield from _limits_up(root / _GROUPS / "memory", place, "memory.limit_in_bytes")


def _limits_up(top: Path, place: str, file: str) -> Iterator[int]:
    group = top / place.strip("/")
    for folder in (group, *group.parents):
        for line in _lines(folder / file):
            if line.isdecimal():  # else `max`: none
                yield int(line)
        if folder == top:
            return


def _lines(file: Path) -> list[str]:
    try:
        return file.read_text("utf-8", "replace").splitlines()
    except OSError:
        return []
