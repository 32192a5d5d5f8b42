"""Finished orders are delivered, made again when their product is taken away, and recorded as done."""

from dataclasses import replace

from watcher.orders.claim import taking_folder
from watcher.outbox.product import write_product
from watcher.records.order_life import Event, State
from watcher.service.life.beginning import prepare
from watcher.service.life.cases import OrderCase, known
from watcher.service.life.delivery import (
    MADE_AGAIN,
    deliver_now,
    deliver_order,
    is_product_not_whole,
    keep_for_delivery,
    make_again,
    record,
)
from watcher.service.life.making import Making
from watcher.work.job import Made


def finished(making: Making, case: OrderCase) -> OrderCase:
    """The order with a product of one file and a ticket."""
    ((prepared, _),) = prepare(making, case)
    assert isinstance(prepared, OrderCase)
    job = known(prepared.job)
    ticket = b'order = "lantern"\n'
    product = write_product(job.building, {"lantern_sheets.pdf": b"%PDF", "lantern_ticket.toml": ticket})
    return replace(
        prepared, made=Made(words="1 card", sheets=1, up=1, findings=(), product=product), then=State.DELIVERING
    )


def test_a_product_is_not_whole_when_a_file_is_gone_but_the_art_is_there(making: Making, taken: OrderCase):
    case = finished(making, taken)
    assert not is_product_not_whole(making, case)
    (known(case.job).building / "lantern_sheets.pdf").unlink()
    assert is_product_not_whole(making, case)
    taking_folder(making.shop.archive, case.number).rename(making.shop.archive / "gone")
    assert not is_product_not_whole(making, case)


def test_an_order_that_is_robbed_is_made_again_but_not_the_third_time(making: Making, taken: OrderCase):
    case = finished(making, taken)
    followed = [make_again(making, case) for _ in range(MADE_AGAIN)]
    assert not any(followed[:-1])
    ((vain, event),) = followed[-1]
    assert event is Event.MADE_IN_VAIN
    assert "files of lantern were taken away three times" in str(vain.error)


def test_art_and_product_get_their_places_and_the_journal_knows_before(making: Making, taken: OrderCase):
    ((case, event),) = deliver_order(making, finished(making, taken))
    assert event is Event.DELIVERED
    assert (making.shop.outbox / "lantern/lantern_sheets.pdf").is_file()
    assert (making.shop.archive / "lantern/lantern_front.png").is_file()
    assert making.journal.state_of(taken.number) is State.DELIVERING
    assert isinstance(case, OrderCase)
    record(making, replace(case, then=State.DONE))
    assert (making.made, making.journal.state_of(taken.number)) == (1, State.DONE)


def test_a_name_that_somebody_took_meanwhile_moves_nothing(making: Making, taken: OrderCase):
    case = finished(making, taken)
    (making.shop.outbox / "lantern").mkdir()
    ((_, event),) = deliver_order(making, case)
    assert event is Event.NAME_TAKEN
    assert taking_folder(making.shop.archive, taken.number).is_dir()


def test_it_is_delivered_at_once_or_with_the_others(making: Making, taken: OrderCase):
    case = finished(making, taken)
    assert deliver_now(making, case) == [(case, Event.DELIVERY_DUE)]
    assert making.undelivered == []
    assert keep_for_delivery(making, case) == ()
    assert making.undelivered == [case]
