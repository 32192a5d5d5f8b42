"""What the process of a worker has done by copies of itself, and when it makes one ahead."""

import signal
import sys
from typing import Any

import pytest

from watcher.work import warm_up, worker_process
from watcher.work.answer import Answer
from watcher.work.task_head import TaskHead, head_of
from watcher.work.wire import read_answer
from watcher.work.worker_process import how_it_ended

ORDER, TASK = TaskHead(), memoryview(b"task")


class _Copy:
    """Stands for a copy of the process."""

    made: list["_Copy"]
    can_do = True

    def __init__(self, work: Any, rehearse: Any = None) -> None:
        self.is_ahead, self.ready, self.ended = rehearse is not None, True, False
        self.has_task, self.has_ended = self.can_do, False
        self.rehearsed = rehearse.args[0] if rehearse else None
        self.tasks: list[object] = []
        self.made.append(self)

    def fileno(self) -> int:
        return 0

    def is_ready(self) -> bool:
        return self.ready

    def do(self, head: TaskHead, task: memoryview, how: Any) -> memoryview | None:
        self.tasks.append(bytes(task))
        return memoryview(b"done") if self.has_task else None

    def end(self) -> None:
        self.ended = True


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[_Copy]:
    """The copies, in the order in which they were made."""
    _Copy.made = []
    monkeypatch.setattr(worker_process, "TaskCopy", _Copy)
    return _Copy.made


def _copies(*, ahead: bool = True) -> worker_process._Copies:
    pipe: Any = None  # a task is given by hand
    return worker_process._Copies(pipe, lambda _: Answer(), ahead=ahead)


def test_an_order_is_done_by_the_copy_made_ahead_and_the_next_by_another(made):
    copies = _copies()
    copies.get_ready()
    copies.get_ready()
    assert (copies.do(ORDER, TASK), copies.do(ORDER, TASK)) == (b"done", b"done")
    assert [(copy.is_ahead, copy.tasks) for copy in made] == [(True, [b"task"]), (False, [b"task"])]


def test_a_copy_that_is_not_ready_is_ended_and_a_new_one_does_the_task(made):
    copies = _copies()
    copies.get_ready()
    made[0].ready = False
    copies.do(ORDER, TASK)
    assert (made[0].ended, made[0].tasks, made[1].tasks) == (True, [], [b"task"])


@pytest.mark.parametrize("second_has_it", [True, False])
def test_a_copy_that_is_killed_before_it_has_its_task_is_no_fault_of_the_order(made, monkeypatch, second_has_it):
    """As the kernel does first, when memory runs out."""
    copies = _copies()
    copies.get_ready()
    made[0].has_task = False
    monkeypatch.setattr(_Copy, "can_do", second_has_it)
    said = copies.do(ORDER, TASK)
    assert [copy.tasks for copy in made] == [[b"task"], [b"task"]]
    if second_has_it:
        assert said == b"done"
    else:
        assert read_answer(bytes(said)) == Answer(trouble="what opens files was ended before it began")


def test_the_inspection_of_a_file_leaves_the_copy_made_ahead_to_its_order(made):
    copies = _copies()
    copies.get_ready()
    copies.do(TaskHead(is_brief=True), TASK)
    assert [copy.tasks for copy in made] == [[], [b"task"]]


def test_a_copy_that_ends_without_a_task_is_cleared_away_and_its_kind_not_rehearsed_again(made, monkeypatch):
    """A sheet of thousands of cards took six seconds of the processor after each order."""
    monkeypatch.setattr(worker_process, "wait", lambda _: [])  # it is the copy that has something to say
    copies, order = _copies(), TaskHead(kind=head_of(warm_up._any_job()).kind)
    copies.do(order, TASK)
    copies.get_ready()
    made[-1].has_ended = True
    copies._wait()
    copies.get_ready()  # not before the next order
    assert (len(made), made[-1].ended, made[-1].rehearsed) == (2, True, order.kind)
    copies.do(order, TASK)
    copies.get_ready()
    assert (len(made), made[-1].rehearsed) == (4, None)


def test_a_small_computer_makes_no_copy_ahead(made):
    copies = _copies(ahead=False)
    copies.get_ready()
    assert made == []


def test_where_no_copy_can_be_made_it_is_trouble_and_not_the_orders_fault(monkeypatch: pytest.MonkeyPatch):
    def refuse(*_: Any) -> None:
        raise OSError(11, "Resource temporarily unavailable")

    monkeypatch.setattr(worker_process, "TaskCopy", refuse)
    answer = read_answer(bytes(_copies().do(ORDER, TASK)))
    assert answer.trouble is not None
    assert answer.died is None


def test_how_a_process_ended_is_said_in_plain_words():
    if sys.platform != "win32":
        assert how_it_ended(-signal.SIGXCPU, 20.0).endswith("more than 80 s")
        assert how_it_ended(-signal.SIGKILL, 0.0) == "the program broke down over it"
