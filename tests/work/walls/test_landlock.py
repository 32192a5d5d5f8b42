"""Confined to named places, a process reads and writes there and nowhere else."""

import subprocess
import sys
from pathlib import Path

import pytest

from watcher.work.walls import landlock
from watcher.work.walls.landlock import Access, landlock_version

needs_landlock = pytest.mark.skipif(not landlock_version(), reason="Landlock: Linux 5.13 or newer")

CONFINED = """
import sys
from pathlib import Path
from watcher.work.walls.landlock import confine
here = Path(sys.argv[1])
confine([here / "read", here / "gone", here / "one.txt"], [here / "write"])
def tried(deed):
    try:
        deed()
    except PermissionError:
        return "no"
    return "yes"
print(
    tried(lambda: (here / "read" / "a.txt").read_text()),
    tried(lambda: (here / "read" / "a.txt").write_text("b")),
    tried(lambda: (here / "write" / "new.txt").write_text("b")),
    tried(lambda: (here / "write" / "new.txt").unlink()),
    tried(lambda: (here / "write" / "folder").mkdir()),
    tried(lambda: (here / "one.txt").read_text()),
    tried(lambda: (here / "two.txt").read_text()),
    tried(lambda: (here / "write" / "link").symlink_to("/etc")),
)
"""


@needs_landlock
def test_only_named_places_are_open(tmp_path):
    for name in ("read", "write"):
        (tmp_path / name).mkdir()
    for name in ("read/a.txt", "one.txt", "two.txt"):
        (tmp_path / name).write_text("a")
    done = subprocess.run(
        [sys.executable, "-c", CONFINED, str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(landlock.__file__).parents[3],
    )
    assert done.stdout.split() == ["yes", "no", "yes", "yes", "no", "yes", "no", "no"]


def test_the_rights_are_numbered_as_in_the_kernels_header():
    """include/uapi/linux/landlock.h of Linux 6.10, from memory: TRUNCATE is bit 14, IOCTL_DEV bit 15."""
    assert (Access.READ_FILE, Access.MAKE_SYM, Access.TRUNCATE, Access.IOCTL_DEV) == (4, 4096, 16384, 32768)


def test_a_kernel_without_it_has_version_none(monkeypatch):
    monkeypatch.setattr(sys, "platform", "darwin")
    assert landlock_version() == 0
