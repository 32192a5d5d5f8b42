"""A worker answers, dies, hangs or eats memory, and its service lives on."""

import multiprocessing.connection
import multiprocessing.spawn
import os
import signal
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from loguru import logger

from watcher.inbox.inside import Inside
from watcher.terms import Finding, Level
from watcher.work import local_worker
from watcher.work.answer import FILE_BYTES, Answer
from watcher.work.inspect_file import InspectFile
from watcher.work.limits import MEMORY_BYTES
from watcher.work.local_worker import LocalWorker

ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join([str(Path(local_worker.__file__).parents[2]), *sys.path])}
linux_only = pytest.mark.skipif(sys.platform != "linux", reason="limits and parent's death: Linux")


@pytest.fixture(scope="module")
def shared():
    """One worker for all tests that leave it well: starting one costs half a second and more."""
    worker = LocalWorker()
    yield worker
    worker.stop()


@pytest.fixture
def worker(shared: LocalWorker):
    yield shared
    if not shared.is_idle:
        shared.stop()


@pytest.fixture
def good_zip(tmp_path: Path) -> Path:
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        archive.writestr("1.png", b"art")
    return tmp_path / "a.zip"


def _answer(worker: LocalWorker) -> Answer:
    """Wait on the pipe, as the service does, for what the worker says."""
    end = time.monotonic() + 60
    while time.monotonic() < end:
        answer = worker.answer()
        if answer is not None:
            return answer
        multiprocessing.connection.wait([worker.pipe], 0.05)
    raise AssertionError("no answer")


def _ask(worker: LocalWorker, path: Path) -> Answer:
    worker.start("task", InspectFile(path=path))
    return _answer(worker)


def _pid(worker: LocalWorker) -> int:
    assert worker._process is not None
    assert worker._process.pid is not None
    return worker._process.pid


def _is_gone(pid: int) -> bool:
    """Gone, or waiting to be collected by whoever collects orphans."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except FileNotFoundError:
        return True


def _soon(condition: Callable[[], bool]) -> None:
    end = time.monotonic() + 20
    while not condition():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.01)


# -- answers -----------------------------------------------------------------------------------------------------------


def test_it_looks_inside_a_zip(worker, good_zip):
    worker.start("task", InspectFile(path=good_zip))
    assert (worker.task, worker.is_idle) == ("task", False)
    answer = _answer(worker)
    assert isinstance(answer.result, Inside)
    assert [member.name for member in answer.result.members] == ["1.png"]
    assert worker.is_idle


def test_what_cannot_be_used_is_held_with_its_reason(worker, tmp_path):
    (tmp_path / "a.pdf").write_bytes(b"%PDF-1.7 and nothing more")
    said = "a.pdf is a damaged PDF or not complete. Export it again."
    refused = Finding(level=Level.REFUSE, code="art-unreadable", message=said)
    assert _ask(worker, tmp_path / "a.pdf") == Answer(reasons=(refused,))


def test_a_file_that_is_gone_is_trouble_not_its_fault(worker, tmp_path):
    answer = _ask(worker, tmp_path / "gone.pdf")
    assert answer.trouble is not None
    assert answer.held == ()
    assert answer.died is None


def test_one_process_does_many_tasks(worker, good_zip):
    _ask(worker, good_zip)
    pid = _pid(worker)
    _ask(worker, good_zip)
    assert _pid(worker) == pid


def test_names_that_are_no_text_reach_it(worker, good_zip):
    odd = good_zip.with_name(os.fsdecode(b"caf\xe9.zip"))
    good_zip.rename(odd)
    assert isinstance(_ask(worker, odd).result, Inside)


# -- a worker that does not answer -------------------------------------------------------------------------------------


def test_one_that_is_killed_over_its_task_has_died_and_the_next_task_is_done(worker, good_zip):
    _ask(worker, good_zip)
    os.kill(_pid(worker), signal.SIGSTOP)  # so that it cannot be quicker than the kill
    worker.start("task", InspectFile(path=good_zip))
    os.kill(_pid(worker), signal.SIGKILL)
    answer = _answer(worker)
    assert answer == Answer(died="the program broke down over it", detail="exit code -9")
    assert worker.is_idle
    assert isinstance(_ask(worker, good_zip).result, Inside)


def test_one_that_cannot_even_start_is_trouble_and_no_fault_of_the_file(good_zip, monkeypatch):
    """Else a machine without memory, or a program half updated, would set every order aside."""
    monkeypatch.setattr(
        local_worker, "serve", os._exit
    )  # called with the pipe, which is no exit code: it fails at once
    worker = LocalWorker()
    lines: list[str] = []
    handler = logger.add(lines.append, format="{message}")
    answer = _ask(worker, good_zip)
    logger.remove(handler)
    assert answer == Answer(trouble="files cannot be opened just now (exit code 1)")
    assert worker.is_idle
    assert "TypeError" in lines[0]  # what it said itself; before, that went nowhere


@linux_only
def test_why_one_could_not_start_is_in_the_services_log(good_zip, tmp_path):
    """The words are those of the dynamic loader where memory is short."""
    (tmp_path / "cannot_start.py").write_text(CANNOT_START)
    (tmp_path / "parent.py").write_text(ASKS_ONE_THAT_CANNOT_START)
    done = subprocess.run(
        [sys.executable, str(tmp_path / "parent.py"), str(good_zip)], capture_output=True, text=True, env=ENVIRONMENT
    )
    assert "a worker could not start: ImportError: failed to map segment (" in done.stderr
    assert done.stdout == "files cannot be opened just now (ImportError: failed to map segment)\n"


def test_one_that_died_while_idle_is_replaced_unseen(worker, good_zip):
    _ask(worker, good_zip)
    pid = _pid(worker)
    os.kill(pid, signal.SIGKILL)
    assert multiprocessing.connection.wait([worker.pipe], 20)  # its end of the pipe has gone with it
    assert isinstance(_ask(worker, good_zip).result, Inside)
    assert _pid(worker) != pid


def test_one_that_takes_too_long_is_ended(worker, good_zip, monkeypatch):
    _ask(worker, good_zip)
    pid = _pid(worker)
    os.kill(pid, signal.SIGSTOP)  # it hangs, as in an endless loop of a library
    monkeypatch.setattr(local_worker, "TASK_S", 0.2)
    worker.start("task", InspectFile(path=good_zip))
    assert worker.answer() is None
    answer = _answer(worker)
    assert answer.died is not None
    assert answer.died.startswith("it took longer than 0 s")
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_after_many_tasks_it_is_replaced(worker, good_zip, monkeypatch):
    """What a library leaks goes with the process."""
    _ask(worker, good_zip)
    pid = _pid(worker)
    monkeypatch.setattr(local_worker, "TASKS_BEFORE_REPLACED", worker._done)
    assert isinstance(_ask(worker, good_zip).result, Inside)
    assert _pid(worker) != pid


def test_stopping_leaves_no_process(good_zip):
    worker = LocalWorker()
    worker.start("task", InspectFile(path=good_zip))
    pid = _pid(worker)
    worker.stop()
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)
    assert worker.is_idle
    worker.stop()


# -- limits ------------------------------------------------------------------------------------------------------------


CANNOT_START = """
from watcher.work import worker_process
def _cannot(_parent):
    raise ImportError("failed to map segment")
def serve(*given):
    worker_process._get_ready = _cannot
    worker_process.serve(*given)
"""

ASKS_ONE_THAT_CANNOT_START = """
import sys, time
from pathlib import Path
import cannot_start
from watcher.work import local_worker
from watcher.work.inspect_file import InspectFile
local_worker.serve = cannot_start.serve
worker = local_worker.LocalWorker()
worker.start("task", InspectFile(path=Path(sys.argv[1])))
while (answer := worker.answer()) is None:
    time.sleep(0.01)
print(answer.trouble, flush=True)
"""

PARENT = """
import sys, time
from pathlib import Path
from watcher.work.inspect_file import InspectFile
from watcher.work.local_worker import LocalWorker
if __name__ == "__main__":
    worker = LocalWorker()
    worker.start("task", InspectFile(path=Path(sys.argv[1])))
    while worker.answer() is None:
        time.sleep(0.01)
    print(worker._process.pid, flush=True)
    time.sleep(60)
"""


@linux_only
def test_no_worker_outlives_a_service_that_is_killed(good_zip, tmp_path):
    (tmp_path / "parent.py").write_text(PARENT)
    parent = subprocess.Popen(
        [sys.executable, str(tmp_path / "parent.py"), str(good_zip)], stdout=subprocess.PIPE, env=ENVIRONMENT
    )
    assert parent.stdout is not None
    pid = int(parent.stdout.readline())
    assert not _is_gone(pid)
    parent.kill()
    parent.wait()
    parent.stdout.close()
    _soon(lambda: _is_gone(pid))


@linux_only
def test_signals_meant_for_the_service_do_not_end_its_workers(worker, good_zip):
    """Ctrl-C goes to the whole group; the order in hand is finished first."""
    _ask(worker, good_zip)
    pid = _pid(worker)
    os.kill(pid, signal.SIGINT)
    os.kill(pid, signal.SIGTERM)
    assert isinstance(_ask(worker, good_zip).result, Inside)
    assert _pid(worker) == pid


@linux_only
def test_a_worker_is_under_its_limits(worker, good_zip):
    _ask(worker, good_zip)
    limits = Path(f"/proc/{_pid(worker)}/limits").read_text()
    rows = {line[:26].strip(): line[26:].split()[0] for line in limits.splitlines()}
    assert rows["Max address space"] == str(MEMORY_BYTES)
    assert rows["Max file size"] == str(FILE_BYTES)
    assert rows["Max core file size"] == "0"


def test_it_is_not_given_what_the_services_environment_holds(monkeypatch):
    monkeypatch.setenv("API_TOKEN", "of-this-user")
    worker = LocalWorker(work=_name_the_environment)
    try:
        assert "API_TOKEN" not in str(_ask(worker, Path("any")).detail)
    finally:
        worker.stop()


def _name_the_environment(_message: object) -> Answer:
    return Answer(detail=Path("/proc/self/environ").read_text() if sys.platform == "linux" else str(os.environ))


def test_a_worker_is_started_without_the_command_line():
    main = sys.modules["__main__"]
    with local_worker._command_line_left_out():
        given = multiprocessing.spawn.get_preparation_data("worker")
    assert not [key for key in given if key.startswith("init_main")]
    assert sys.modules["__main__"] is main
