"""What the process of a worker does with a task: in a child of its own, and with what it leaves behind."""

import multiprocessing
import os
import signal
import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests.orders.an_order import an_order
from watcher.archive.effective_settings import EffectiveSettings
from watcher.work import worker_process
from watcher.work.answer import Answer
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Job, job_for
from watcher.work.wire import read_answer
from watcher.work.worker_process import how_it_ended, more_for

linux_only = pytest.mark.skipif(sys.platform != "linux", reason="a process copies itself: Linux")


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Job:
    """An order in a folder; the walls, which have tests of their own, stay down."""
    monkeypatch.setattr(worker_process, "wall_in", lambda _places: None)
    settings = cast(EffectiveSettings, SimpleNamespace(printer=SimpleNamespace(output_profile=None)))
    made = job_for(an_order("lantern"), settings, tmp_path, "2026-03-01T09:05:07+00:00")
    return replace(made, building=tmp_path / ".making-1")


def _done(message: object, work: Any) -> Answer:
    ours, theirs = multiprocessing.Pipe()
    with ours, theirs:
        return read_answer(worker_process._do(theirs, message, work))


@linux_only
def test_a_task_is_done_in_another_process(job):
    assert _done(job, lambda _job: Answer(result=os.getpid())).result != os.getpid()


@linux_only
def test_what_the_task_writes_stays_and_an_empty_building_folder_does_not(job):
    assert _done(job, lambda job: Answer(result=job.building.is_dir())).result is True
    assert not job.building.exists()
    _done(job, lambda job: Answer(result=(job.building / "a.pdf").write_bytes(b"%PDF")))
    assert [file.name for file in job.building.iterdir()] == ["a.pdf"]


@linux_only
def test_a_place_that_is_not_there_is_trouble_and_not_the_orders_fault(job):
    gone = replace(job, building=job.building / "gone" / "deeper")
    answer = _done(gone, lambda _job: Answer(result="made"))
    assert answer.trouble is not None
    assert answer.result is None


@linux_only
@pytest.mark.parametrize(
    ("stopped_by", "said"),
    [
        (signal.SIGXCPU, "it kept the computer busy for more than 60 s"),
        (signal.SIGKILL, "the program broke down over it"),
    ],
)
def test_a_task_that_is_stopped_has_died_over_it(job, stopped_by, said):
    answer = _done(job, lambda _job: os.kill(os.getpid(), stopped_by))
    assert (answer.died, answer.detail) == (said, f"exit code {-stopped_by}")


@linux_only
def test_processor_time_is_counted_from_the_beginning_of_the_task(job):
    import resource

    answer = _done(job, lambda _job: Answer(result=resource.getrlimit(resource.RLIMIT_CPU)[0]))
    assert 0 < answer.result <= worker_process.CPU_S + 1  # -1 is no limit: RLIM_INFINITY


def test_an_order_of_many_designs_has_more_time():
    """Two seconds for each file beyond a front and a back."""
    assert more_for(InspectFile(path=Path("a.zip"))) == 0
    assert how_it_ended(-signal.SIGXCPU, 20.0).endswith("more than 80 s")
