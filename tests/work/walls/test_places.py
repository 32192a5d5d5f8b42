"""A task behind its walls: foreign code that runs in it reaches its own order and nothing else."""

import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from tests.orders.an_order import an_order
from tests.work.walls import foreign_code
from watcher.archive.effective_settings import EffectiveSettings
from watcher.terms import Side
from watcher.work import warm_up
from watcher.work.answer import Answer
from watcher.work.gang_model import Examination
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Job, job_for
from watcher.work.local_worker import LocalWorker
from watcher.work.walls import places
from watcher.work.walls.landlock import landlock_version
from watcher.work.walls.places import places_of, program_places
from watcher.work.walls.seccomp import processor_here

has_walls = pytest.mark.skipif(
    sys.platform != "linux" or not landlock_version() or processor_here() is None, reason="Landlock and seccomp"
)


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """An order that has been taken, beside another's."""
    archive = tmp_path / "archive"
    for number, name in ((1, "front.png"), (2, "other.png")):
        (archive / f".taking-{number}").mkdir(parents=True)
        (archive / f".taking-{number}" / name).write_bytes(b"art")
    settings = SimpleNamespace(printer=SimpleNamespace(output_profile=None))
    made = job_for(
        an_order("lantern"), cast(EffectiveSettings, settings), archive / ".taking-1", "2026-03-01T09:05:07+00:00"
    )
    return replace(made, building=archive / ".making-1")


@pytest.fixture(scope="module")
def worker() -> Iterator[LocalWorker]:
    one = LocalWorker(foreign_code.do_as_named)
    yield one
    one.stop()


def _deed(worker: LocalWorker, job: Job, deed: str) -> Answer:
    return _answer(worker, replace(job, name=deed))


def _answer(worker: LocalWorker, task: Job | Examination) -> Answer:
    worker.start("task", task)
    while (answer := worker.answer()) is None:
        assert worker.pipe is not None
        worker.pipe.poll(1.0)
    return answer


@has_walls
def test_foreign_code_reaches_its_own_order_and_nothing_else(worker, job):
    answer = _deed(worker, job, "try_everything")
    done = {name for name, came in answer.result.items() if came.startswith("done")}
    assert done == {"read own art", "write own product", "remove own product"}
    assert (job.folder / "front.png").read_bytes() == b"art"


@has_walls
def test_an_order_that_will_wait_for_others_is_examined_behind_the_walls(worker, job):
    """Its building folder is made, and written: a held order's picture lies there."""
    answer = _answer(worker, Examination(job=job))
    assert (answer.trouble, answer.died) == (None, None)
    assert [file.name for file in job.building.iterdir()] == ["picture.png"]


@has_walls
def test_an_answer_that_would_call_a_function_is_none(worker, job):
    """A pickle calls whatever it names (Python's documentation of pickle says so in red)."""
    answer = _deed(worker, job, "answer_with_a_call")
    assert answer.died == "what it sent back is no answer"
    assert not (job.folder.parent / "called").exists()


@has_walls
def test_nothing_of_another_order_is_in_memory(job):
    """Neither of what it asked for nor of what was answered; also not in memory that is free again."""
    worker, base = LocalWorker(foreign_code.do_as_named), warm_up._any_job()  # which is rehearsed
    mark = "-".join(["MARKED", "123456"])
    wishes = replace(base.order.wishes, note=mark)
    files = tuple(replace(source, file=f"{mark}.png") for source in base.order.art)
    order = replace(base.order, name=mark, wishes=wishes, art=files)
    other = replace(base, order=order, name="say_the_note", folder=job.folder, building=job.building, shown=mark)
    try:
        assert mark in _answer(worker, other).result
        for ahead in (True, False):
            if ahead:
                _wait_for_a_copy(worker)
            mine = "-".join(["MARKED", "654321"])
            assert _deed(worker, replace(job, shown=mine), "find_marks").result == [mine]
    finally:
        worker.stop()


def _wait_for_a_copy(worker: LocalWorker) -> None:
    assert worker._process is not None
    children = Path(f"/proc/{worker._process.pid}/task/{worker._process.pid}/children")
    end = time.monotonic() + 30
    while not children.read_text() and time.monotonic() < end:
        time.sleep(0.01)


@has_walls
def test_an_answer_without_end_is_cut_and_is_none(worker, job):
    assert _deed(worker, job, "answer_without_end").died == "what it sent back is no answer"


@has_walls
def test_a_worker_that_seems_to_have_ended_and_has_not_holds_nobody_up(worker, job):
    """Before: the service waited for its end without end."""
    assert _deed(worker, job, "write_to_all").died == "what it sent back is no answer"
    assert _deed(worker, job, "try_everything").result


@has_walls
def test_a_task_that_the_kernel_stops_takes_no_other_with_it(worker, job):
    before = _deed(worker, job, "try_everything")
    process = worker._process
    assert _deed(worker, job, "kill_itself").detail == "exit code -11"
    assert worker._process is process
    assert _deed(worker, job, "try_everything") == before


def test_each_task_has_its_own_places(job, tmp_path):
    (tmp_path / "logo.PDF").write_bytes(b"%PDF")
    shared = replace(job, common=((Side.BACK, tmp_path / "logo.PDF"), (Side.FRONT, tmp_path / "gone.png")))
    found = places_of(shared)
    assert found.readable == (job.folder, tmp_path / "logo.PDF", tmp_path / "gone.png")
    assert found.writable == (job.building,)
    assert found.copies == (job.folder / "common-back.pdf",)
    assert places_of(Examination(job=job)).writable == (job.building,)
    assert places_of(InspectFile(path=tmp_path / "a.zip")).writable == ()


def test_the_program_lies_in_its_places_and_no_home_does():
    around = program_places()
    here = Path(places.__file__).resolve()
    assert any(here.is_relative_to(place) for place in around)
    assert not any(Path.home().is_relative_to(place) for place in around)
