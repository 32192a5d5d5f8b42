"""What the process of a worker has done by copies of itself, and when it makes one ahead."""

import signal
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.orders.an_order import an_order
from watcher.work import worker_process
from watcher.work.answer import Answer
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Job
from watcher.work.wire import read_answer
from watcher.work.worker_process import how_it_ended, more_for


class _Copy:
    """Stands for a copy of the process."""

    made: list["_Copy"]

    def __init__(self, work: Any, pipe: int, rehearse: Any = None) -> None:
        self.is_ahead, self.ready, self.ended = rehearse is not None, True, False
        self.tasks: list[object] = []
        self.made.append(self)

    def is_ready(self) -> bool:
        return self.ready

    def do(self, message: object, more_s: float, how: Any) -> bytes:
        self.tasks.append(message)
        return b"done"

    def end(self) -> None:
        self.ended = True


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[_Copy]:
    """The copies, in the order in which they were made."""
    _Copy.made = []
    monkeypatch.setattr(worker_process, "TaskCopy", _Copy)
    return _Copy.made


def _copies(*, ahead: bool = True) -> worker_process._Copies:
    return worker_process._Copies(7, lambda _: Answer(), ahead=ahead)


def _job() -> Job:
    job = Job.__new__(Job)  # what it is does not matter here
    object.__setattr__(job, "order", an_order("lantern"))
    return job


def test_an_order_is_done_by_the_copy_made_ahead_and_the_next_by_another(made):
    copies, job = _copies(), _job()
    copies.get_ready()
    copies.get_ready()
    assert (copies.do(job), copies.do(job)) == (b"done", b"done")
    assert [(copy.is_ahead, copy.tasks) for copy in made] == [(True, [job]), (False, [job])]


def test_a_copy_that_is_not_ready_is_ended_and_a_new_one_does_the_task(made):
    copies, job = _copies(), _job()
    copies.get_ready()
    made[0].ready = False
    copies.do(job)
    assert (made[0].ended, made[0].tasks, made[1].tasks) == (True, [], [job])


def test_the_inspection_of_a_file_leaves_the_copy_made_ahead_to_its_order(made):
    copies, look = _copies(), InspectFile(path=Path("a.zip"))
    copies.get_ready()
    copies.do(look)
    assert [copy.tasks for copy in made] == [[], [look]]


def test_a_small_computer_makes_no_copy_ahead(made):
    copies = _copies(ahead=False)
    copies.get_ready()
    assert made == []


def test_where_no_copy_can_be_made_it_is_trouble_and_not_the_orders_fault(monkeypatch: pytest.MonkeyPatch):
    def refuse(*_: Any) -> None:
        raise OSError(11, "Resource temporarily unavailable")

    monkeypatch.setattr(worker_process, "TaskCopy", refuse)
    answer = read_answer(_copies().do(_job()))
    assert answer.trouble is not None
    assert answer.died is None


def test_an_order_of_many_designs_has_more_time():
    """Two seconds for each file beyond a front and a back."""
    assert more_for(InspectFile(path=Path("a.zip"))) == 0
    if sys.platform != "win32":
        assert how_it_ended(-signal.SIGXCPU, 20.0).endswith("more than 80 s")
        assert how_it_ended(-signal.SIGKILL, 0.0) == "the program broke down over it"
