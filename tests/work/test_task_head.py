"""What a worker's process is told of a task, beside its bytes."""

import pickle
from dataclasses import replace
from datetime import date
from pathlib import Path

from tests.orders.an_order import an_order
from watcher.orders.model import ArtSource
from watcher.terms import Side
from watcher.work import warm_up
from watcher.work.gang_model import Examination
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Job, OrderCheck
from watcher.work.task_head import PIECE_S, TaskHead, head_of, more_for


def _job() -> Job:
    job, order = warm_up._any_job(), an_order("lantern")
    wishes = replace(order.wishes, quantity=37, note="for Ada", due=date(2026, 12, 24))
    art = tuple(ArtSource(side=side, file=f"lantern_{side}.JPEG", sha256="5a" * 32) for side in Side)
    return replace(job, order=replace(order, wishes=wishes, art=art), name="lantern", folder=Path("/shop/.taking-1"))


def test_it_tells_how_an_order_is_made_and_not_whose_it_is():
    """The next order's copy has in memory what was told before it."""
    head = head_of(_job())
    assert head.kind is not None
    assert (head.kind.quantity, head.kind.endings[Side.FRONT]) == (37, "jpg")
    told = pickle.dumps(head)
    assert not [word for word in (b"lantern", b"Ada", b"datetime", b".taking", b"5a5a") if word in told]


def test_a_file_that_is_inspected_takes_no_copy_from_an_order():
    assert head_of(InspectFile(path=Path("a.zip"))) == TaskHead(is_brief=True)
    assert not head_of(_job()).is_brief


def test_an_order_that_is_only_examined_is_no_kind_that_is_rehearsed():
    assert head_of(Examination(job=_job())).kind is None
    assert head_of(_job()).building == head_of(Examination(job=_job())).building == (_job().building,)


def test_an_order_of_many_designs_has_more_time():
    """Two seconds for each file beyond a front and a back."""
    art = tuple(ArtSource(side=Side.FRONT, file=f"{n}.png", sha256="", design=n) for n in range(1, 6))
    job = replace(_job(), order=replace(_job().order, art=art))
    assert more_for(job) == more_for(OrderCheck(job=job)) == 3 * PIECE_S
    assert more_for(_job()) == more_for(InspectFile(path=Path("a.zip"))) == 0
