"""The limits that a worker sets itself hold, and never raise those that it was started under."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from watcher.records.machine import Machine
from watcher.work import limits
from watcher.work.answer import FILE_BYTES
from watcher.work.limits import MEMORY_BYTES, most_memory

ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join([str(Path(limits.__file__).parents[2]), *sys.path])}
linux_only = pytest.mark.skipif(sys.platform != "linux", reason="limits: Linux")

LIMITED = """
import os, resource
from pathlib import Path
from watcher.work import limits
from watcher.work.answer import answer_to

limits.set_limits()
print(resource.getrlimit(resource.RLIMIT_AS)[0], resource.getrlimit(resource.RLIMIT_FSIZE)[0])
print(answer_to(bytearray, 2 * limits.MEMORY_BYTES).died)
print(answer_to(lambda size: len(bytearray(size)), 1000).result)
"""


@linux_only
def test_a_task_that_wants_too_much_memory_dies_alone():
    """Twice the limit, asked for in earnest under the limit; the process goes on to the next task."""
    done = subprocess.run([sys.executable, "-c", LIMITED], capture_output=True, text=True, check=True, env=ENVIRONMENT)
    assert done.stdout.splitlines() == [f"{MEMORY_BYTES} {FILE_BYTES}", "it needed too much memory", "1000"]


def test_a_worker_of_a_small_computer_may_take_no_more_than_it_has_and_what_libraries_reserve():
    assert most_memory(Machine(memory_bytes=1_000_000_000, cores=1)) == 1_400_000_000
    assert most_memory(Machine(memory_bytes=16_000_000_000, cores=1)) == MEMORY_BYTES
    assert most_memory(Machine(memory_bytes=None, cores=1)) == MEMORY_BYTES


LOWER = """
import os, resource, signal
from watcher.work import limits
from watcher.work.answer import answer_to

for which, most in ((resource.RLIMIT_AS, 2 * 10**9), (resource.RLIMIT_FSIZE, 10**6), (resource.RLIMIT_CPU, 40)):
    resource.setrlimit(which, (most, most))
os.setresuid(65534, 65534, 65534) if os.geteuid() == 0 else None
print(limits.low_limits())
limits.set_limits()
limits.allow_processor_time(60)
print(*(resource.getrlimit(which)[0] for which in (resource.RLIMIT_AS, resource.RLIMIT_FSIZE, resource.RLIMIT_CPU)))
def too_large(_): raise OSError(27, "File too large")
print(answer_to(too_large, None).died)
"""


@linux_only
def test_lower_limits_under_which_the_service_was_started_stay(tmp_path):
    """Before: asking for more than a process may have killed every worker (setrlimit(2): EPERM)."""
    done = subprocess.run([sys.executable, "-c", LOWER], capture_output=True, text=True, check=True, env=ENVIRONMENT)
    said, limits, died = done.stdout.splitlines()
    assert "2000 MB of memory (ulimit -v) and files of 1 MB (ulimit -f)" in said
    assert limits == f"{2 * 10**9} {10**6} 40"
    assert died == "it would come to a file of more than 1 MB"
