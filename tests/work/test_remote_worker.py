"""One order at a time on a cluster; the cluster is a stand-in, and Dask is needed for its errors alone."""

from concurrent.futures import Future
from pathlib import Path
from types import SimpleNamespace

import pytest

from watcher.work import remote_worker
from watcher.work.answer import Answer
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Job
from watcher.work.packing import PackedAnswer
from watcher.work.remote_worker import RemoteWorker


class WrittenCluster:
    """Takes what is submitted and says what the test tells it to."""

    def __init__(self) -> None:
        self.future: Future[object] = Future()
        self.closed = False

    def submit(self, _packed: object) -> "Future[object]":
        return self.future

    def say_lost(self, _error: object = None) -> str:
        return "the scheduler cannot be reached"

    def close(self) -> None:
        self.closed = True


@pytest.fixture
def cluster() -> WrittenCluster:
    return WrittenCluster()


@pytest.fixture
def worker(cluster: WrittenCluster, monkeypatch: pytest.MonkeyPatch) -> RemoteWorker:
    """One that has sent an order."""
    monkeypatch.setattr(remote_worker, "pack", lambda job: job)
    local = SimpleNamespace(task=None, pipe=None, deadline=1.0, stop=lambda: None)
    worker = RemoteWorker(cluster, local)  # type: ignore[arg-type]
    job = object.__new__(Job)
    object.__setattr__(job, "name", "lantern")
    worker.start("task", job)
    return worker


def test_is_at_work_until_the_future_is_done(worker: RemoteWorker) -> None:
    assert (worker.task, worker.is_idle, worker.answer()) == ("task", False, None)
    assert worker.pipe is not None
    assert not worker.pipe.poll()


def test_its_pipe_becomes_readable_when_the_answer_is_there(
    worker: RemoteWorker, cluster: WrittenCluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr(remote_worker, "unpack", lambda _packed, _job: None)
    cluster.future.set_result(PackedAnswer(answer=Answer(died="so")))
    assert worker.pipe is not None
    assert worker.pipe.poll(5)
    assert worker.answer() == Answer(died="so")
    assert worker.is_idle


@pytest.mark.parametrize(
    ("outcome", "trouble"),
    [
        ("a stranger's object", "another machine sent what is no finished order"),
        (PackedAnswer(answer=Answer(result="a stranger's")), "another machine sent what is no finished order"),
        (PackedAnswer(answer=Answer()), "another machine sent what is no finished order"),
        (OSError(28, "No space left on device"), "the disk is full"),
        (OSError("connection lost"), "the scheduler cannot be reached"),
        (RuntimeError("lost key"), "the scheduler cannot be reached"),
    ],
)
def test_what_goes_wrong_is_trouble_and_no_fault_of_the_order(
    worker: RemoteWorker, cluster: WrittenCluster, outcome: object, trouble: str
) -> None:
    pytest.importorskip("distributed")
    if isinstance(outcome, Exception):
        cluster.future.set_exception(outcome)
    else:
        cluster.future.set_result(outcome)
    answer = worker.answer()
    assert answer is not None
    assert trouble in str(answer.trouble)
    assert (answer.died, answer.held, worker.is_idle) == (None, (), True)


def test_an_order_that_no_machine_makes_in_time_is_asked_for_anew(
    cluster: WrittenCluster, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    monkeypatch.setattr(remote_worker, "QUEUE_S", 0.0)
    worker: RemoteWorker = request.getfixturevalue("worker")
    answer = worker.answer()
    assert answer is not None
    assert answer.trouble == "no machine of the cluster made lantern within 0 min"
    assert cluster.future.cancelled()


def test_all_but_whole_orders_is_done_on_this_machine(cluster: WrittenCluster) -> None:
    given = []
    local = SimpleNamespace(task=None, start=lambda task, message: given.append((task, message)))
    message = InspectFile(path=Path("a.zip"))
    RemoteWorker(cluster, local).start("task", message)  # type: ignore[arg-type]
    assert given == [("task", message)]


def test_stopped_it_lets_the_order_and_the_cluster_go(worker: RemoteWorker, cluster: WrittenCluster) -> None:
    worker.stop()
    assert cluster.future.cancelled()
    assert cluster.closed
    assert worker.is_idle
