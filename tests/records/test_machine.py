"""What the computer has, told from files as the kernel writes them: proc(5), cgroup-v2 and cgroup-v1 memory."""

import os
from pathlib import Path

import pytest

from watcher.records.machine import memory_told, this_machine

MIB = 1024**2


def write(file: Path, said: str) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(said)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A computer with 1,000 MiB."""
    write(tmp_path / "proc/meminfo", "MemTotal:        1024000 kB\nMemFree:          51200 kB\n")
    return tmp_path


def test_the_memory_is_that_of_the_computer(root: Path):
    assert memory_told(root) == (1000 * MIB,)


def test_a_limit_of_the_unit_or_of_what_it_is_in_counts_where_it_is_lower(root: Path):
    write(root / "proc/self/cgroup", "0::/system.slice/print-folder.service\n")
    write(root / "sys/fs/cgroup/system.slice/print-folder.service/memory.max", "max\n")
    write(root / "sys/fs/cgroup/system.slice/memory.max", f"{600 * MIB}\n")
    assert min(memory_told(root)) == 600 * MIB
    write(root / "sys/fs/cgroup/system.slice/memory.max", f"{6000 * MIB}\n")
    assert min(memory_told(root)) == 1000 * MIB


def test_the_older_kind_of_groups_counts_too(root: Path):
    write(root / "proc/self/cgroup", "9:cpu,cpuacct:/shop\n4:memory:/shop\n")
    write(root / "sys/fs/cgroup/memory/shop/memory.limit_in_bytes", f"{500 * MIB}\n")
    assert min(memory_told(root)) == 500 * MIB


def test_where_no_file_says_it_the_system_is_asked(tmp_path: Path):
    assert memory_told(tmp_path) == ()
    assert 0 < (this_machine().memory_bytes or 0) <= os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")


@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="cores by process: Linux")
def test_the_cores_are_those_that_this_process_may_use():
    before = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {min(before)})
    try:
        assert this_machine().cores == 1
    finally:
        os.sched_setaffinity(0, before)
