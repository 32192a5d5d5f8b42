"""A run begins with the orders that can be made; the others of it are held, made singly or wait for another."""

from dataclasses import replace

import pytest

from watcher.orders.claim import taking_folder
from watcher.records.order_life import Event, State
from watcher.service.life.cases import OrderCase, RunCase, known, run_of
from watcher.service.life.gang_orders import (
    handle_spoiled,
    has_nobody_to_share_with,
    leave_out,
    make_run,
    run_answered,
    saves_nothing,
)
from watcher.service.life.making import Making
from watcher.terms import Finding, Level
from watcher.work.answer import Answer
from watcher.work.gang_model import RunJob, RunMade, RunSpoiled

pytestmark = pytest.mark.usefixtures("tags_may_share")
BLURRED = Answer(reasons=(Finding(level=Level.HOLD, code="low-resolution", message="It is blurred."),), soft=True)


class WritingDown:
    """A worker that only says what it was given."""

    def __init__(self) -> None:
        self.given: list[RunCase] = []

    def start(self, task: RunCase, message: object) -> None:
        assert message is task.job
        self.given.append(task)


def begun(making: Making, run: RunCase) -> RunCase:
    worker = WritingDown()
    assert not make_run(making, replace(run, worker=worker, then=State.MAKING))
    (case,) = worker.given
    return case


def test_each_order_has_a_name_and_the_journal_knows_its_run(making: Making, run: RunCase):
    case = begun(making, run)
    assert isinstance(case.job, RunJob)
    assert case.job.numbers == dict(zip(["apple", "birch"], run.numbers, strict=True))
    for order in run.orders:
        entry = making.shop.journal.find(order.number)
        assert entry is not None
        assert (entry.state, entry.folder, entry.run) == (State.MAKING, order.name, case.run)
    assert not making.reserved


def test_orders_of_one_name_get_names_of_their_own(making: Making, run: RunCase):
    twins = replace(run, orders=tuple(replace(order, name="apple") for order in run.orders))
    assert [job.name for job in known(begun(making, twins).job).jobs] == ["apple", "apple-2"]


def test_an_order_whose_card_is_gone_is_held_and_one_that_is_left_alone_is_made_singly(making: Making, run: RunCase):
    apple, birch = run.orders
    gone = replace(birch, wishes=replace(birch.wishes, card="gone"))
    worker = WritingDown()
    ((held, event),) = make_run(making, replace(run, orders=(apple, gone), worker=worker))
    assert isinstance(held, OrderCase)
    assert (held.order, event) == (gone, Event.NOT_POSSIBLE)
    assert ([*making.queue], making.runs.singly, worker.given) == ([apple], {apple.number}, [])
    assert has_nobody_to_share_with(making, run)  # one that is made singly has no kind
    assert has_nobody_to_share_with(making, run_of([birch]))


def test_what_saves_nothing_is_made_singly_and_the_rest_is_delivered(making: Making, run: RunCase):
    made = RunMade(words={"birch": "4 cards"}, sheets=1)
    case, event = run_answered(begun(making, run), Answer(result=made))
    assert event is Event.RUN_MADE
    ((following, event),) = leave_out(making, case)
    assert isinstance(following, RunCase)
    assert ([order.name for order in following.orders], event) == (["birch"], Event.RUN_DELIVERY_DUE)
    assert [order.name for order in making.queue] == ["apple"]


@pytest.mark.parametrize(("words", "nothing"), [({}, True), ({"birch": "4 cards"}, False)])
def test_a_run_without_a_word_for_any_order_saves_nothing(making: Making, run: RunCase, words, nothing: bool):
    assert saves_nothing(making, replace(run, made=RunMade(words=words))) is nothing


def test_an_order_with_bad_art_is_answered_by_itself_and_the_others_wait_again(making: Making, run: RunCase):
    case, event = run_answered(begun(making, run), Answer(result=RunSpoiled(order="apple", answer=BLURRED)))
    assert event is Event.RUN_SPOILED
    ((spoiled, event),) = handle_spoiled(making, case)
    assert isinstance(spoiled, OrderCase)
    assert (spoiled.order.name, spoiled.answer, event) == ("apple", BLURRED, Event.REFUSED)
    assert [order.name for order in making.runs.waiting] == ["birch"]
    assert taking_folder(making.shop.archive, spoiled.number).is_dir()
