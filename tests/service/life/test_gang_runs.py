"""Which orders wait and since when, what asks for them to be made now, and what a run is called."""

import os
from datetime import UTC, datetime, timedelta
from typing import cast

import pytest

from tests.orders.an_order import an_order
from watcher.orders.claim import note_of, taking_folder
from watcher.outbox.product import NUMBERS
from watcher.outbox.run_folder import numbers_file, run_building_folder
from watcher.records.journal import Entry
from watcher.records.order_life import State
from watcher.service.life.cases import run_of
from watcher.service.life.gang_pool import Pool, arrived_at
from watcher.service.life.gang_runs import WORD, Runs, kinds_of
from watcher.service.shop import Shop
from watcher.work.job import Job

pytestmark = pytest.mark.usefixtures("tags_may_share")
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


class Named:
    """As much of a job as is asked for: its name."""

    name = "apple"


@pytest.fixture
def runs(shop: Shop) -> Runs:
    shop.now = lambda: NOON
    return Runs(shop=shop, pool=Pool())


def let_wait(runs: Runs, number: int, since: datetime) -> None:
    """Let an order wait that was taken then."""
    note = note_of(runs.shop.archive, number)
    note.write_text("{}")
    os.utime(note, (since.timestamp(), since.timestamp()))
    runs.let_wait(an_order(f"order{number}", number, card="tag"))


def test_an_order_waits_from_when_its_note_was_written(runs: Runs):
    let_wait(runs, 1, NOON - timedelta(minutes=10))
    assert arrived_at(runs.shop.archive, 1, NOON) == NOON - timedelta(minutes=10)
    assert arrived_at(runs.shop.archive, 2, NOON) == NOON  # it has none
    assert runs.ready(lambda _kind: False) == ()
    let_wait(runs, 2, NOON - timedelta(days=1))
    assert [order.number for order in runs.ready(lambda _kind: False)] == [1, 2]
    assert runs.waiting == ()


def test_the_word_hurries_what_had_come_before_it_until_it_is_forgotten(runs: Runs):
    let_wait(runs, 1, NOON - timedelta(minutes=10))
    word = runs.shop.state / WORD
    word.touch()
    os.utime(word, (NOON.timestamp(), NOON.timestamp()))
    assert len(runs.ready(lambda _kind: False)) == 1
    runs.forget_word()
    runs.forget_word()  # also when it is gone
    let_wait(runs, 2, NOON - timedelta(minutes=10))
    assert runs.ready(lambda _kind: False) == ()


def test_one_that_is_made_singly_has_no_kind_and_a_run_that_is_not_delivered_waits(runs: Runs):
    one, other = an_order("a", 1, card="tag"), an_order("b", 2, card="tag")
    runs.singly.add(1)
    assert runs.kind(one) is None
    assert list(kinds_of([one, other], runs)) == [runs.kind(other)]
    runs.undelivered.append(run_of([one]))
    assert runs.waiting == (one,)


def test_a_run_has_the_day_in_its_name_and_none_that_any_folder_or_run_has_had(runs: Runs):
    members = [(an_order("apple", 7), cast(Job, Named()))]
    job = runs.job_for(members, lambda _name: False)
    assert (job.run, job.date, job.numbers) == ("run-2026-11-25", "2026-11-25", {"apple": 7})
    assert job.building == run_building_folder(runs.shop.archive, 7)
    done = Entry(
        number=7, name="apple", key="apple", card="tag", state=State.DONE, since=runs.shop.stamp(), run=job.run
    )
    runs.shop.journal.write(done)
    second = runs.job_for(members, lambda _name: False).run
    assert second == "run-2026-11-25-2"
    assert runs.job_for(members, {second}.__contains__).run == "run-2026-11-25-3"


def test_a_delivery_that_was_cut_short_is_completed(runs: Runs):
    archive = runs.shop.archive
    building = run_building_folder(archive, 7)
    for folder in (building, archive / "apple", taking_folder(archive, 8)):
        folder.mkdir()
    (building / NUMBERS).write_bytes(numbers_file({"apple": 7, "birch": 8}))
    for name in ("apple", "birch"):
        ticket = f'order = "{name}"\nrun = "run-1"\nrun_orders = ["apple", "birch"]\n'
        (building / f"{name}_ticket.toml").write_text(ticket)
    (archive / "apple/apple_ticket.toml").write_bytes((building / "apple_ticket.toml").read_bytes())
    runs.complete_cut_short()
    assert (archive / "birch/birch_ticket.toml").is_file()
    assert [folder.name for folder in runs.shop.outbox.iterdir()] == ["run-1"]
    assert not building.exists()
    assert [entry.folder for entry in runs.shop.journal.in_state(State.DONE)] == ["birch", "apple"]
