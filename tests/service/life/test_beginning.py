"""What the beginning of an order asks and does: names, the journal, deaths of workers, and what an answer is."""

import errno
from dataclasses import replace

import pytest

from watcher.orders.model import Repeat
from watcher.records.order_life import Event, State
from watcher.records.trouble import FolderGone
from watcher.service.life.beginning import (
    answered,
    check_folders,
    count_worker_death,
    drop_same,
    examine,
    is_first_death,
    is_paused,
    is_repeat,
    is_same_art_in_outbox,
    make,
    prepare,
)
from watcher.service.life.cases import OrderCase, known
from watcher.service.life.making import Making
from watcher.terms import Finding, Level
from watcher.work.answer import Answer
from watcher.work.gang_model import Examination, Examined
from watcher.work.job import Made

BLURRED = Finding(level=Level.HOLD, code="low-resolution", message="It is blurred.")
MADE = Made(sheets=1, up=1, words="1 card", findings=(), product={})


class WritingDown:
    """A worker that only says what it was given."""

    def __init__(self) -> None:
        self.given: list[tuple[object, object]] = []

    def start(self, task: object, message: object) -> None:
        self.given.append((task, message))


def prepared(making: Making, case: OrderCase) -> OrderCase:
    ((case, event),) = prepare(making, case)
    assert event is Event.PREPARED
    assert isinstance(case, OrderCase)
    return case


def made_before(making: Making, case: OrderCase) -> None:
    """An order of the same art was made, and its sheets lie in the outbox."""
    done = replace(case.order, number=case.number + 100, name="comet")
    art = known(case.job).order_sha256
    making.shop.journal.write(making.journal.entry(done, State.DONE, folder="comet", art=art))
    (making.shop.outbox / "comet").mkdir()
    (making.shop.outbox / "comet/comet_sheets.pdf").write_bytes(b"%PDF")


@pytest.mark.parametrize(
    ("answer", "event"),
    [
        (Answer(result=MADE), Event.MADE),
        (Answer(result=Examined()), Event.EXAMINED),
        (Answer(trouble="the disk is full"), Event.DISK_FAILED),
        (Answer(reasons=(BLURRED,)), Event.REFUSED),
        (Answer(died="it needed too much memory"), Event.WORKER_DIED),
    ],
)
def test_an_answer_is_one_event(taken: OrderCase, answer: Answer, event: Event):
    case, found = answered(taken, answer)
    assert found is event
    assert (case.answer, case.made) == (answer, MADE if event is Event.MADE else None)
    assert str(case.error or "") == (answer.trouble or "")


def test_the_journal_knows_of_an_order_before_a_worker_does(making: Making, taken: OrderCase):
    worker = WritingDown()
    case = replace(prepared(making, taken), worker=worker, then=State.MAKING)
    make(making, case)
    entry = making.shop.journal.find(taken.number)
    assert entry is not None
    assert (entry.state, entry.folder, entry.art) == (State.MAKING, "lantern", known(case.job).order_sha256)
    examine(making, case)
    assert [message for _, message in worker.given] == [case.job, Examination(job=known(case.job))]


def test_the_same_art_is_dropped_while_its_sheets_lie_in_the_outbox_and_made_once_they_do_not(
    making: Making, taken: OrderCase
):
    case = prepared(making, replace(taken, then=State.SAME))
    assert not is_same_art_in_outbox(making, case)
    made_before(making, case)
    assert is_same_art_in_outbox(making, case)
    assert drop_same(making, case) == ()
    assert making.shop.log.written[-1].endswith("its sheets still lie in the outbox (comet)")
    assert making.journal.state_of(taken.number) is None
    assert [file.name for file in making.shop.archive.iterdir() if file.name.startswith(".taking")] == []
    (making.shop.outbox / "comet/comet_sheets.pdf").unlink()
    assert not is_same_art_in_outbox(making, case)


def test_the_second_death_of_a_worker_is_not_the_first(making: Making, taken: OrderCase):
    case = replace(prepared(making, taken), answer=Answer(died="it broke"))
    once = count_worker_death(making, case)
    assert is_first_death(making, once)
    assert not is_first_death(making, count_worker_death(making, once))


def test_nothing_begins_while_a_folder_is_gone(making: Making, taken: OrderCase):
    making.shop.held.rename(making.shop.held.with_name("elsewhere"))
    with pytest.raises(FolderGone, match="folder held is missing"):
        check_folders(making, taken)


def test_an_order_that_repeats_another_is_told_from_one_with_art_of_its_own(making: Making, taken: OrderCase):
    again = replace(taken, claimed=replace(taken.order, repeat=Repeat(order="comet")))
    assert [is_repeat(making, case) for case in (taken, again)] == [False, True]


def test_a_pause_is_seen_while_it_lasts(making: Making, taken: OrderCase):
    assert not is_paused(making, taken)
    making.journal.pause(OSError(errno.ENOSPC, "full"))
    assert is_paused(making, taken)
