"""Measuring by the clock, by processor time and in memory, of this process or of another one."""

import os
import resource
import statistics
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, kw_only=True)
class Cost:
    """What something took: seconds by the clock, seconds of processor time."""

    wall_s: float
    cpu_s: float


def cpu_of(pid: int) -> float:
    """Processor time of a process, all its threads, and of its children that have ended, s.

    Its own in nanoseconds (Linux: clock ids made from process numbers, see time(7)); a worker does each task in a
    child, whose time proc(5) tells in ticks of 10 ms: so it takes several tasks to know what one takes.
    """
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    ended = sum(map(int, fields[13:15])) / os.sysconf("SC_CLK_TCK")
    return time.clock_gettime((~pid << 3) | 2) + ended


def measure(run: Callable[[], object], workers: Callable[[], Iterable[int]] = list) -> Cost:
    """Run once; the processor time is that of this process and its workers, those too that ended meanwhile."""
    cpu, wall = _cpu_of_all(workers()), time.perf_counter()
    run()
    wall = time.perf_counter() - wall
    return Cost(wall_s=wall, cpu_s=_cpu_of_all(workers()) - cpu)


def _cpu_of_all(workers: Iterable[int]) -> float:
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    here = time.process_time()
    return here + ended.ru_utime + ended.ru_stime + sum(map(cpu_of, workers))


def median(costs: Iterable[Cost]) -> Cost:
    """The median of each."""
    costs = list(costs)
    wall, cpu = (statistics.median(getattr(cost, name) for cost in costs) for name in ("wall_s", "cpu_s"))
    return Cost(wall_s=wall, cpu_s=cpu)


def forget_peak(pid: int) -> None:
    """Begin to measure the most memory that a process has in use anew (proc(5), clear_refs)."""
    with suppress(OSError):
        Path(f"/proc/{pid}/clear_refs").write_text("5")


@contextmanager
def peak_of_tasks(workers: Callable[[], Iterable[int]]) -> Iterator[list[float]]:
    """Watch the children in which workers do their tasks: the list's only number is the most that one had in use, MB.

    What a child shares with its worker is in it. It is read every few milliseconds, so this is no part of a timed run.
    """
    most, is_over = [0.0], threading.Event()

    def watch() -> None:
        while not is_over.wait(0.005):
            for worker in workers():
                with suppress(OSError, KeyError):  # one has ended meanwhile
                    for child in Path(f"/proc/{worker}/task/{worker}/children").read_text().split():
                        most[0] = max(most[0], peak_mb(int(child)))

    thread = threading.Thread(target=watch)
    thread.start()
    try:
        yield most
    finally:
        is_over.set()
        thread.join()


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
