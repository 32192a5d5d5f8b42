"""What a start makes of an order that a stop or a crash cut short."""

from dataclasses import replace

from watcher.orders.claim import note_of, taking_folder
from watcher.outbox.product import building_folder
from watcher.records.order_life import Event, State
from watcher.service.life.cases import OrderCase
from watcher.service.life.completing import (
    complete_delivery,
    complete_same,
    count_death,
    finished_for,
    is_in_archive,
    undo_claim,
)
from watcher.service.life.making import Making


def with_entry(making: Making, case: OrderCase, state: State, **more: str) -> OrderCase:
    entry = making.journal.entry(case.order, state, **more)
    making.journal.write(entry)
    return replace(case, entry=entry)


def test_a_death_counts_only_while_a_worker_was_at_work_but_always_in_a_run(making: Making, taken: OrderCase):
    case = with_entry(making, taken, State.MAKING, art="f")
    building = building_folder(making.shop.archive, taken.number)
    counts = []
    for prepare in (lambda: None, building.mkdir, lambda: (building / "a_ticket.toml").write_text('order = "a"\n')):
        prepare()
        ((counted, event),) = count_death(making, case)
        assert isinstance(counted, OrderCase)
        assert event is Event.SERVICE_DIED
        counts.append(counted.deaths)
    assert counts == [0, 1, 0]
    in_run = with_entry(making, taken, State.MAKING, art="g", run="run-1")
    assert [case.deaths for case, _ in count_death(making, in_run) if isinstance(case, OrderCase)] == [1]


def test_a_product_is_finished_once_its_ticket_names_the_order(making: Making, taken: OrderCase):
    building = building_folder(making.shop.archive, taken.number)
    building.mkdir()
    assert finished_for(building) is None
    (building / "lantern_ticket.toml").write_text("order =")  # half written
    assert finished_for(building) is None
    (building / "lantern_ticket.toml").write_text('order = "lantern-2"\n')
    assert finished_for(building) == "lantern-2"


def test_the_product_of_archived_art_is_published_and_of_art_that_is_not_it_is_left(making: Making, taken: OrderCase):
    building = building_folder(making.shop.archive, taken.number)
    building.mkdir()
    (building / "lantern_ticket.toml").write_text('order = "lantern"\n')
    case = with_entry(making, taken, State.DELIVERING, folder="lantern")
    assert not is_in_archive(making, case)
    complete_delivery(making, case)
    assert building.is_dir()
    archived = taking_folder(making.shop.archive, taken.number).rename(making.shop.archive / "lantern")
    (archived / "lantern_ticket.toml").write_text('order = "lantern"\n')
    assert is_in_archive(making, case)
    ((delivered, event),) = complete_delivery(making, case)
    assert isinstance(delivered, OrderCase)
    assert (delivered.again, event) == (True, Event.DELIVERED)
    assert (making.shop.outbox / "lantern").is_dir()
    assert not building.exists()


def test_a_claim_that_is_undone_leaves_the_files_in_the_inbox_and_nothing_in_the_journal(
    making: Making, taken: OrderCase
):
    assert undo_claim(making, with_entry(making, taken, State.TAKEN)) == ()
    assert sorted(file.name for file in making.shop.inbox.iterdir()) == ["lantern_back.png", "lantern_front.png"]
    assert making.shop.journal.find(taken.number) is None
    assert not note_of(making.shop.archive, taken.number).exists()


def test_the_line_about_the_same_art_names_the_folder_that_has_its_sheets_and_is_said_once(
    making: Making, taken: OrderCase
):
    done = replace(taken.order, number=taken.number + 100)
    making.shop.journal.write(making.journal.entry(done, State.DONE, folder="comet", art="f", run="run-1"))
    case = with_entry(making, taken, State.SAME, folder="comet", art="f")
    for _ in range(2):
        complete_same(making, case)
    log = (making.shop.outbox / "log.txt").read_text()
    assert log.count("lantern: the same art again; its sheets still lie in the outbox (run-1)") == 1
    assert not taking_folder(making.shop.archive, taken.number).exists()
