"""A copy of a worker's process does one task, and what it leaves behind."""

import itertools
import os
import pickle
import select
import signal
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests.orders.an_order import an_order
from watcher.archive.effective_settings import EffectiveSettings
from watcher.work import task_copy, written
from watcher.work.answer import Answer
from watcher.work.job import Job, job_for
from watcher.work.task_copy import TaskCopy
from watcher.work.task_head import TaskHead, head_of
from watcher.work.wire import read_answer

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="a process copies itself: Linux")


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Job:
    """An order in a folder; the walls, which have tests of their own, stay down."""
    monkeypatch.setattr(task_copy, "wall_in", lambda _places: None)
    settings = cast(EffectiveSettings, SimpleNamespace(printer=SimpleNamespace(output_profile=None)))
    made = job_for(an_order("lantern"), settings, tmp_path, "2026-03-01T09:05:07+00:00")
    return replace(made, building=tmp_path / ".making-1")


@pytest.fixture
def copy_of() -> Callable[..., TaskCopy]:
    def make(work: Any = lambda _job: Answer(result=os.getpid()), **more: Any) -> TaskCopy:
        return TaskCopy(work, **more)

    return make


@pytest.fixture
def done(copy_of) -> Callable[[object, Any], Answer]:
    """What comes of a task that is done by a copy."""
    return lambda message, work: _answer_of(copy_of(work), message)


def _answer_of(copy: TaskCopy, message: object) -> Answer:
    said = copy.do(head_of(message), memoryview(pickle.dumps(message)), lambda code: f"it ended with {code}")
    assert said is not None
    return read_answer(bytes(said))


def _open_files() -> list[str]:
    return sorted(file.name for file in Path("/proc/self/fd").iterdir())


def _wait_until_ready(copy: TaskCopy) -> None:
    end = time.monotonic() + 30
    while not copy.is_ready():
        assert time.monotonic() < end
        time.sleep(0.001)


def test_a_task_is_done_in_another_process(done, job):
    assert done(job, lambda _job: Answer(result=os.getpid())).result != os.getpid()


def test_what_the_task_writes_stays_and_an_empty_building_folder_does_not(done, job):
    assert done(job, lambda job: Answer(result=job.building.is_dir())).result is True
    assert not job.building.exists()
    done(job, lambda job: Answer(result=(job.building / "a.pdf").write_bytes(b"%PDF")))
    assert [file.name for file in job.building.iterdir()] == ["a.pdf"]


def test_a_place_that_is_not_there_is_trouble_and_not_the_orders_fault(done, job):
    gone = replace(job, building=job.building / "gone" / "deeper")
    answer = done(gone, lambda _job: Answer(result="made"))
    assert answer.trouble is not None
    assert answer.result is None


@pytest.mark.parametrize("stopped_by", [signal.SIGXCPU, signal.SIGKILL])
def test_a_task_that_is_stopped_has_died_over_it(done, job, stopped_by):
    answer = done(job, lambda _job: os.kill(os.getpid(), stopped_by))
    assert (answer.died, answer.detail) == (f"it ended with {-stopped_by}", f"exit code {-stopped_by}")


def test_processor_time_is_counted_from_the_beginning_of_the_task(done, job):
    import resource

    answer = done(job, lambda _job: Answer(result=resource.getrlimit(resource.RLIMIT_CPU)[0]))
    assert 0 < answer.result <= task_copy.CPU_S + 1  # -1 is no limit: RLIM_INFINITY


def test_a_copy_made_ahead_rehearses_before_it_waits(copy_of, job, tmp_path):
    copy = copy_of(rehearse=(tmp_path / "rehearsed").touch)
    _wait_until_ready(copy)
    assert (tmp_path / "rehearsed").exists()
    assert _answer_of(copy, job).result not in (None, os.getpid())


def test_a_copy_that_died_while_it_waited_is_not_ready(copy_of):
    def die() -> None:
        os._exit(1)

    copy = copy_of(rehearse=die)
    os.waitid(os.P_PID, copy._process, os.WEXITED | os.WNOWAIT)
    assert not copy.is_ready()
    copy.end()


def test_a_copy_that_is_killed_before_it_has_its_task_does_nothing(copy_of):
    copy = copy_of()
    _wait_until_ready(copy)
    os.kill(copy._process, signal.SIGKILL)
    assert copy.do(TaskHead(), memoryview(b"task"), str) is None
    with pytest.raises(ProcessLookupError):
        os.kill(copy._process, 0)


def test_a_copy_that_is_killed_while_it_waits_is_seen_to_have_ended(copy_of):
    copy = copy_of()
    _wait_until_ready(copy)
    os.kill(copy._process, signal.SIGKILL)
    select.select([copy], [], [], 30)
    assert not copy.is_ready()
    assert copy.has_ended
    copy.end()


def test_a_task_that_closes_its_end_and_lives_on_is_ended(done, job):
    """Whoever has taken a copy over has no longer than its answer takes."""
    answer = done(job, lambda _job: [os.closerange(3, 64), time.sleep(600)])
    assert answer.detail == "exit code -9"


def test_a_copy_has_no_file_open_but_its_task_and_its_answer(done, job):
    """Pipes of the worker's process are none of a task's; by one of them files in shared memory are removed."""
    ends = os.pipe()
    assert done(job, lambda _job: Answer(result=len(_open_files()))).result <= 5  # with what lists them
    for end in ends:
        os.close(end)


def test_a_copy_with_a_thread_beside_the_one_that_shuts_itself_in_does_nothing(copy_of):
    def start_thread() -> None:
        threading.Thread(target=time.sleep, args=(30,), daemon=True).start()

    copy = copy_of(rehearse=start_thread)
    os.waitid(os.P_PID, copy._process, os.WEXITED | os.WNOWAIT)
    assert not copy.is_ready()
    copy.end()


def test_a_copy_that_is_not_wanted_leaves_no_process_and_no_file_open(copy_of):
    before = _open_files()
    copy = copy_of()
    copy.end()
    assert _open_files() == before
    with pytest.raises(ProcessLookupError):
        os.kill(copy._process, 0)


def test_a_task_leaves_no_file_open(copy_of, job):
    before = _open_files()
    _answer_of(copy_of(), job)
    assert _open_files() == before


def test_processor_time_of_a_rehearsal_is_limited_and_its_task_has_its_own(copy_of, job, tmp_path):
    """A card whose rehearsal takes longer is made without one."""
    import resource

    def limit() -> int:
        return resource.getrlimit(resource.RLIMIT_CPU)[0]

    copy = copy_of(lambda _job: Answer(result=limit()), rehearse=lambda: (tmp_path / "limit").write_text(str(limit())))
    _wait_until_ready(copy)
    assert 0 < int((tmp_path / "limit").read_text()) <= task_copy._REHEARSAL_S + 1
    assert _answer_of(copy, job).result > task_copy._REHEARSAL_S + 1


def test_a_task_that_writes_without_end_is_ended_and_it_is_said_why(done, job, monkeypatch):
    monkeypatch.setattr(written, "MOST_NAMES", 10)
    monkeypatch.setattr(task_copy, "LOOK_EVERY_S", 0.01)
    answer = done(job, _make_files_without_end)
    assert answer.died == "it made more than 10 files"


def _make_files_without_end(job: Job) -> Answer:
    for number in itertools.count():
        (job.building / f"{number}").touch()
        time.sleep(0.001)
    raise AssertionError("never comes here")
