"""One instance per print folder, and no lock outlives its process."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from watcher.errors import AlreadyRunning, ExitCode
from watcher.service.lock import FILE_NAME, is_locked, take_lock

HOLDS = """
import sys, time
from pathlib import Path
from watcher.service.lock import take_lock
lock = take_lock(Path(sys.argv[1]))
print("held", flush=True)
time.sleep(60)
"""


@pytest.fixture
def state(tmp_path: Path) -> Path:
    (tmp_path / "shop" / "state").mkdir(parents=True)
    return tmp_path / "shop" / "state"


@pytest.fixture
def other(state):
    """Another process that holds the lock."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLDS, str(state)],
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert process.stdout is not None
    assert process.stdout.readline() == b"held\n"
    yield process
    process.kill()
    process.wait()
    process.stdout.close()


def test_the_lock_names_its_process(state):
    with take_lock(state):
        assert (state / FILE_NAME).read_text() == f"{os.getpid()}\n"


def test_a_second_instance_is_refused_in_one_plain_line(state, other):
    with pytest.raises(AlreadyRunning) as refused:
        take_lock(state)
    assert str(refused.value) == (
        f"Another print-folder is at work on {state.parent}. Stop it first, or let it do the work."
    )
    assert refused.value.exit_code is ExitCode.CANNOT_RUN


def test_a_refused_instance_leaves_the_lock_as_it_is(state, other):
    with pytest.raises(AlreadyRunning):
        take_lock(state)
    assert (state / FILE_NAME).read_text() == f"{other.pid}\n"


def test_within_one_process_it_is_one_too(state):
    with take_lock(state), pytest.raises(AlreadyRunning):
        take_lock(state)


def test_it_is_free_again_when_let_go(state):
    take_lock(state).close()
    take_lock(state).close()


def test_it_is_free_again_when_its_process_is_killed(state, other):
    """After a power cut or a kill nobody has to remove a file by hand."""
    other.kill()
    other.wait()
    take_lock(state).close()


def test_whether_it_is_held_is_told_without_taking_it(state, other):
    assert is_locked(state)
    other.kill()
    other.wait()
    assert not is_locked(state)
    take_lock(state).close()


def test_where_nothing_ever_ran_it_is_free_and_stays_so(state):
    assert not is_locked(state)
    assert list(state.iterdir()) == []


def test_a_childs_copy_does_not_hold_it(state):
    """A command of the shop's that outlives the service must not keep the next one from starting."""
    lock = take_lock(state)
    child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
    lock.close()
    try:
        assert not is_locked(state)
    finally:
        child.kill()
        child.wait()


def test_two_print_folders_do_not_know_of_each_other(state, tmp_path):
    (tmp_path / "second").mkdir()
    start = time.monotonic()
    with take_lock(state), take_lock(tmp_path / "second"):
        assert time.monotonic() - start < 5
