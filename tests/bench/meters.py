"""Measuring by the clock, by processor time and in memory, of this process or of another one."""

import os
import resource
import statistics
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, kw_only=True)
class Cost:
    """What something took: seconds by the clock, seconds of processor time."""

    wall_s: float
    cpu_s: float


def cpu_of(pid: int) -> float:
    """Processor time of a process, all its threads, s (Linux: clock ids made from process numbers, see time(7))."""
    return time.clock_gettime((~pid << 3) | 2)


def measure(run: Callable[[], object], workers: Callable[[], Iterable[int]] = list) -> Cost:
    """Run once; the processor time is that of this process and its workers, those too that ended meanwhile."""
    cpu, wall = _cpu_of_all(workers()), time.perf_counter()
    run()
    wall = time.perf_counter() - wall
    return Cost(wall_s=wall, cpu_s=_cpu_of_all(workers()) - cpu)


def _cpu_of_all(workers: Iterable[int]) -> float:
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    return ended.ru_utime + ended.ru_stime + sum(map(cpu_of, [os.getpid(), *workers]))


def median(costs: Iterable[Cost]) -> Cost:
    """The median of each."""
    costs = list(costs)
    wall, cpu = (statistics.median(getattr(cost, name) for cost in costs) for name in ("wall_s", "cpu_s"))
    return Cost(wall_s=wall, cpu_s=cpu)


def forget_peak(pid: int) -> None:
    """Begin to measure the most memory that a process has in use anew (proc(5), clear_refs)."""
    with suppress(OSError):
        Path(f"/proc/{pid}/clear_refs").write_text("5")


def peak_mb(pid: int) -> float:
    """The most memory that a process has had in use since then, MB."""
    return _status(pid, "VmHWM")


def memory_mb(pid: int) -> float:
    """The memory that a process has in use now, MB."""
    return _status(pid, "VmRSS")


def open_handles(pid: int) -> int:
    """How many files and pipes a process has open."""
    return len(list(Path(f"/proc/{pid}/fd").iterdir()))


def _status(pid: int, name: str) -> float:
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith(f"{name}:"):
            return int(line.split()[1]) / 1000
    raise KeyError(name)
