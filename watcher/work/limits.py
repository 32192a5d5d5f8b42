"""The limits that a worker sets itself: memory, size of a file, processor time; they end with the worker's parent."""

import contextlib
import ctypes
import os
import signal
import sys
from pathlib import Path

from watcher.records.machine import Machine, this_machine
from watcher.work.answer import FILE_BYTES

# Measured, for a front and a back together (address space, processor time): 24 cards of 85 x 55 mm at 300 ppi with
# bleed made on both sides of an SRA3 sheet 0.3 GB, 4 s; two PNGs of 60 million pixels, the worst to pack, 1.3 GB, 4 s;
# with alpha 1.1 GB, 6 s; two of 96 million pixels with alpha 1.6 GB, 15 s. A page that draws without end reaches any
# limit of memory within half a minute, any of time whatever it is.
MEMORY_BYTES = 3 * 1024**3  # address space, not memory in use: the libraries reserve more than they touch
_LIBRARIES_BYTES = 400_000_000  # of address space, before any art is opened: 300 measured
CPU_S = 60  # of one task

_LARGEST_LIMIT = (1 << 64) - 1  # RLIM_INFINITY is -1 here, and the largest number in C
_PR_SET_PDEATHSIG = 1


def most_memory(machine: Machine) -> int:
    """Give the address space that a worker may take, bytes; on a small computer no more than it has memory for."""
    if machine.memory_bytes is None:
        return MEMORY_BYTES
    return min(MEMORY_BYTES, machine.memory_bytes + _LIBRARIES_BYTES)


def set_limits(memory_bytes: int = MEMORY_BYTES) -> None:
    """Limit this process, and all that it starts, in memory and size of files; a core dump is never written.

    Args:
        memory_bytes: see `most_memory`.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C goes to the whole group; the service decides
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    if sys.platform == "linux":
        import resource

        _limit(resource.RLIMIT_AS, memory_bytes)
        _limit(resource.RLIMIT_FSIZE, FILE_BYTES)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        with contextlib.suppress(OSError):  # when memory runs out, a worker goes before the service and other programs
            Path("/proc/self/oom_score_adj").write_text("500")


def end_with_parent(parent: int) -> None:
    """End this process as soon as its parent has ended: no orphan goes on after the service is killed.

    Args:
        parent: its process number, as the parent itself knows it.
    """
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
        if os.getppid() != parent:
            os._exit(0)


def allow_processor_time(seconds: float) -> None:
    """Allow the next task its processor time; going beyond it ends the process."""
    if sys.platform == "linux":
        import resource

        used = resource.getrusage(resource.RUSAGE_SELF)
        limit = int(used.ru_utime + used.ru_stime + seconds) + 1
        _, most = resource.getrlimit(resource.RLIMIT_CPU)
        soft = limit if most == resource.RLIM_INFINITY else min(limit, most)
        resource.setrlimit(resource.RLIMIT_CPU, (soft, most))


def low_limits() -> str:
    """Say which limits of this process are lower than those of a worker, in words for people; empty where none is."""
    if sys.platform != "linux":
        return ""
    import resource

    low = []
    for which, ours, words in (
        (resource.RLIMIT_AS, most_memory(this_machine()), "{} MB of memory (ulimit -v)"),
        (resource.RLIMIT_FSIZE, FILE_BYTES, "files of {} MB (ulimit -f)"),
    ):
        limit = min(limit & _LARGEST_LIMIT for limit in resource.getrlimit(which))
        if limit < ours:
            low.append(words.format(limit // 1_000_000))
    return f". The program was started with limits of {' and '.join(low)}; start it without them" if low else ""


def _limit(which: int, most: int) -> None:
    """Set a limit; a lower one that the service was started under (`ulimit`, a unit) stays."""
    if sys.platform == "linux":
        import resource

        own = [limit for limit in resource.getrlimit(which) if limit != resource.RLIM_INFINITY]
        lowest = min([most, *own])
        resource.setrlimit(which, (lowest, lowest))
