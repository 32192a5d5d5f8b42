"""Which names are in use, and whose turn it is."""

from dataclasses import replace

from watcher.service.life.beginning import prepare
from watcher.service.life.cases import OrderCase
from watcher.service.life.making import Making


def test_a_name_is_taken_by_a_folder_by_an_order_being_made_and_by_one_that_is_reserved(
    making: Making, taken: OrderCase
):
    assert making.name_for(taken.order) == "lantern"
    (making.shop.archive / "lantern").mkdir()
    assert making.name_for(taken.order) == "lantern-2"
    ((case, _),) = prepare(making, taken)
    assert isinstance(case, OrderCase)
    making.undelivered.append(case)
    assert making.name_for(taken.order) == "lantern-3"
    making.reserved.add("lantern-3")
    assert making.name_for(taken.order) == "lantern-4"


def test_an_order_that_is_made_alone_waits_for_the_others_and_they_for_it(making: Making, taken: OrderCase):
    ((begun, _),) = prepare(making, replace(taken, claimed=replace(taken.order, number=taken.number + 100, key="nova")))
    making.queue.add(taken.order)
    making.tried_alone.add(taken.number)
    assert not making.must_wait()
    making.workers[0].task = begun
    assert making.must_wait()
    making.workers[0].task = None


def test_the_end_of_an_order_forgets_what_was_noted_against_it(making: Making, taken: OrderCase):
    making.tried_alone.add(taken.number)
    making.runs.singly.add(taken.number)
    making.shop.journal.count_worker_death("f")
    making.end(taken.number, "f")
    assert not making.tried_alone
    assert not making.runs.singly
    assert making.shop.journal.count_worker_death("f") == 1
