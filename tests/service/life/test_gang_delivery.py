"""A finished run is delivered with the art of its orders, or its orders wait for another."""

import errno
from dataclasses import replace

import pytest

from watcher.orders.claim import taking_folder
from watcher.outbox.product import NUMBERS, write_product
from watcher.outbox.run_folder import numbers_file
from watcher.records.order_life import Event, State
from watcher.service.life.cases import RunCase, known, run_of
from watcher.service.life.delivery import MADE_AGAIN
from watcher.service.life.gang_delivery import (
    are_files_changed,
    deliver_run_later,
    deliver_whole_run,
    is_run_not_whole,
    make_run_again,
    return_changed,
)
from watcher.service.life.job_for import job_for_order
from watcher.service.life.making import Making
from watcher.work.gang_model import RunMade

pytestmark = pytest.mark.usefixtures("tags_may_share")


@pytest.fixture
def finished(making: Making, run: RunCase) -> RunCase:
    """The run with a product of one file, the list of its orders and their tickets."""
    members = [(order, job_for_order(order, making.shop, making.name_for)) for order in run.orders]
    job = making.runs.job_for(members, making.is_taken)
    for order, _ in members:
        making.journal.write(making.journal.entry(order, State.MAKING, folder=order.name, run=job.run))
    tickets = {f"{name}_ticket.toml": f'order = "{name}"\n'.encode() for name in job.numbers}
    files = {f"{job.run}_sheets.pdf": b"%PDF", NUMBERS: numbers_file(job.numbers), **tickets}
    job.building.mkdir()
    made = RunMade(
        words={"apple": "4 cards", "birch": "6 cards"},
        sheets=1,
        single_sheets=2,
        product=write_product(job.building, files),
    )
    return replace(run, job=job, run=job.run, made=made, then=State.DELIVERING)


def test_the_art_goes_to_the_archive_the_sheets_to_the_outbox_and_the_orders_before_the_run(
    making: Making, finished: RunCase
):
    following = deliver_whole_run(making, finished)
    assert [event for _, event in following] == [Event.DELIVERED, Event.DELIVERED, Event.RUN_DELIVERED]
    of_run = following[-1][0]
    assert isinstance(of_run, RunCase)
    assert of_run.words == "1 sheet for 2 orders instead of 2"
    for order, words in zip(finished.orders, ("4 cards", "6 cards"), strict=True):
        assert (making.shop.archive / order.name / f"{order.name}.png").is_file()
        entry = known(making.shop.journal.find(order.number))
        assert (entry.state, entry.says, entry.run) == (State.DELIVERING, words, finished.run)
    assert (making.shop.outbox / finished.run / f"{finished.run}_sheets.pdf").is_file()


def test_a_name_that_somebody_took_meanwhile_moves_nothing(making: Making, finished: RunCase):
    (making.shop.outbox / finished.run).mkdir()
    ((_, event),) = deliver_whole_run(making, finished)
    assert event is Event.RUN_NAME_TAKEN
    assert all(taking_folder(making.shop.archive, number).is_dir() for number in finished.numbers)


def test_a_run_that_is_robbed_waits_again_and_the_third_time_there_is_a_pause(making: Making, finished: RunCase):
    assert not is_run_not_whole(making, finished)
    (known(finished.job).building / f"{finished.run}_sheets.pdf").unlink()
    assert is_run_not_whole(making, finished)
    for _ in range(MADE_AGAIN):
        assert making.paused is None
        make_run_again(making, finished)
    assert {order.name for order in making.runs.waiting} == {"apple", "birch"}
    assert f"files of {finished.run} were taken away three times" in str(making.paused)


def test_a_full_disk_pauses_and_the_run_is_the_next_to_be_delivered(making: Making, finished: RunCase):
    making.runs.undelivered.append(run_of([]))
    full = OSError(errno.ENOSPC, "no room", "outbox/x")
    assert deliver_run_later(making, replace(finished, error=full)) == ()
    assert making.runs.undelivered[0] == finished
    assert "the disk is full" in str(making.paused)


def test_only_the_order_that_was_written_to_goes_back_to_the_inbox(making: Making, finished: RunCase):
    assert not are_files_changed(making, finished)
    (taking_folder(making.shop.archive, finished.orders[0].number) / "apple.png").write_bytes(b"more")
    assert are_files_changed(making, finished)
    return_changed(making, finished)
    assert [file.name for file in (making.shop.inbox / "tag").iterdir()] == ["apple.png"]
    assert [order.name for order in making.runs.waiting] == ["birch"]
    assert not known(finished.job).building.exists()
