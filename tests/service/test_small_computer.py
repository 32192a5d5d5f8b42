"""A starter's orders are made on one core, by workers that may take no more than a computer with 1 GB lets them.

The bound of address space is the one that `limits.most_memory` gives such a computer; workers take it over from the
process that starts them. (RLIMIT_AS: setrlimit(2).)
"""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.records.machine import Machine
from watcher.work.limits import most_memory

SMALL = Machine(memory_bytes=980_000 * 1024, cores=1)  # of 1 GB the system's kernel keeps some for itself
TAG_PX = (1087, 732)  # 85 x 55 mm with 3 mm of bleed at just over 300 ppi

ON_A_SMALL_COMPUTER = """
import os, resource, sys

if __name__ == "__main__":
    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    most = int(sys.argv.pop(1))
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    from watcher.commands.app import main

    main()
"""


@pytest.mark.skipif(sys.platform != "linux", reason="limits and cores by process: Linux")
def test_the_orders_of_a_starter_are_made_with_1_gb_and_one_core(tmp_path: Path, draw_card: Callable[..., Path]):
    """The shop's: its sheet is the largest of the three."""
    small, folder = tmp_path / "small.py", tmp_path / "shop"
    small.write_text(ON_A_SMALL_COMPUTER)

    def print_folder(*words: str) -> str:
        command = [sys.executable, str(small), str(most_memory(SMALL)), *words]
        ran = subprocess.run(command, capture_output=True, text=True, check=False)
        assert ran.returncode == 0, (ran.stdout + ran.stderr)[-1000:]
        return ran.stdout

    print_folder("init", str(folder), "--for", "shop")
    for name in ("night", "noon"):
        for side in ("front", "back"):
            draw_card(folder / "inbox/visiting-card" / f"{name}_{side}.png", TAG_PX, word=side)
    assert print_folder("once", "--settings", str(folder / "settings.toml")).startswith("2 made, 0 held, 0 waiting.")
