"""Orders whose files others change or take away go back to the inbox."""

from dataclasses import replace
from pathlib import Path

from watcher.orders.claim import taking_folder
from watcher.records.order_life import Event
from watcher.service.life.cases import OrderCase
from watcher.service.life.making import Making
from watcher.service.life.returning import MOST_RETURNS, files_changed, files_gone, return_order
from watcher.work.job import Made

FRONT = "lantern_front.png"


def file_of(making: Making, case: OrderCase, name: str = FRONT) -> Path:
    return taking_folder(making.shop.archive, case.number) / name


def test_a_file_of_the_same_size_with_other_bytes_is_a_change_until_the_order_is_made(making: Making, taken: OrderCase):
    file = file_of(making, taken)
    assert not files_changed(making, taken)
    file.write_bytes(bytes(file.stat().st_size))
    assert files_changed(making, taken)
    assert not files_changed(making, replace(taken, made=Made(words="", sheets=1, up=1, findings=(), product={})))


def test_an_order_that_went_back_three_times_is_no_more_called_changed(making: Making, taken: OrderCase):
    file_of(making, taken).write_bytes(b"more")
    making.returned[taken.order.key] = MOST_RETURNS
    assert not files_changed(making, taken)


def test_files_are_gone_when_one_was_taken_away_but_not_when_the_whole_archive_is(making: Making, taken: OrderCase):
    assert not files_gone(making, taken)
    file_of(making, taken).unlink()
    assert files_gone(making, taken)
    making.shop.archive.rename(making.shop.archive.with_name("elsewhere"))
    assert not files_gone(making, taken)


def test_what_is_there_of_an_order_lies_in_the_inbox_again_and_the_journal_forgets_it(making: Making, taken: OrderCase):
    file_of(making, taken).unlink()
    assert return_order(making, replace(taken, error=FileNotFoundError())) == ()
    assert [path.name for path in making.shop.inbox.iterdir()] == ["lantern_back.png"]
    assert making.shop.journal.find(taken.number) is None
    assert "lantern: was taken away while it was made; what is there of it" in making.shop.log.written[-1]


def test_without_an_inbox_it_stays_where_it_is(making: Making, taken: OrderCase):
    making.shop.inbox.rename(making.shop.inbox.with_name("elsewhere"))
    ((_, event),) = return_order(making, taken)
    assert event is Event.RETURN_FAILED
    assert file_of(making, taken).exists()
