"""A start finishes or undoes what a stop or a crash cut short, and clears away what was half made."""

from dataclasses import replace

from watcher.orders.claim import note_of, taking_folder, write_note
from watcher.outbox.product import BUILDING
from watcher.records.order_life import State
from watcher.service.claiming import Claiming
from watcher.service.life.cases import OrderCase
from watcher.service.life.making import Making
from watcher.service.recovery import recover


def start_again(making: Making) -> Claiming:
    claiming = Claiming(making.shop)
    recover(making.shop, claiming, making)
    return claiming


def test_an_order_that_was_taken_whole_is_made_and_numbers_go_on_after_all_that_were(making: Making, taken: OrderCase):
    (making.shop.archive / ".taking-70").mkdir()
    claiming = start_again(making)
    assert [order.number for order in making.queue] == [taken.number]
    assert claiming.next_number == 71


def test_a_claim_that_was_cut_short_goes_back_to_the_inbox(making: Making, taken: OrderCase):
    unread = tuple(replace(file, sha256="") for file in taken.order.files)
    write_note(making.shop.archive, replace(taken.order, files=unread))
    start_again(making)
    assert not making.queue
    assert sorted(file.name for file in making.shop.inbox.iterdir()) == ["lantern_back.png", "lantern_front.png"]
    assert not note_of(making.shop.archive, taken.number).exists()


def test_what_the_journal_has_on_its_way_without_a_file_is_forgotten(making: Making, taken: OrderCase):
    lost = replace(taken.order, number=taken.number + 100, key="nova")
    making.shop.journal.write(making.journal.entry(lost, State.MAKING, folder="nova"))
    start_again(making)
    assert making.shop.journal.find(lost.number) is None
    assert making.shop.journal.find(taken.number) is not None


def test_an_order_that_was_archived_without_a_journal_entry_is_found_by_its_files(making: Making, taken: OrderCase):
    done = replace(taken.order, number=taken.number + 100)
    making.shop.journal.write(making.journal.entry(done, State.DONE, folder="lantern", art="f", says="12 cards"))
    making.shop.journal.forget(taken.number)
    taking_folder(making.shop.archive, taken.number).rename(making.shop.archive / "lantern")
    start_again(making)
    assert not making.queue
    assert making.shop.log.written == ["lantern: made: 12 cards"]
    assert not note_of(making.shop.archive, taken.number).exists()


def test_half_built_products_and_half_moves_are_removed_and_what_people_made_is_not(making: Making):
    shop = making.shop
    half = [
        shop.archive / f"{BUILDING}7",
        shop.outbox / f"{BUILDING}8",
        shop.held / ".otter.part",
        shop.outbox / ".a.gone",
    ]
    kept = [shop.outbox / "otter", shop.held / "otter.part"]
    for folder in (*half, *kept):
        folder.mkdir()
        (folder / "page.pdf").write_bytes(b"%PDF")
    (shop.outbox / ".note.part").write_text("a file")
    start_again(making)
    assert not any(folder.exists() for folder in half)
    assert not (shop.archive / f"{BUILDING}8").exists()
    assert all((folder / "page.pdf").is_file() for folder in kept)
    assert (shop.outbox / ".note.part").is_file()
