"""What lies in the inbox, read by the one function that the service and the status page share."""

from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.inbox.found import Found
from watcher.inbox.settle import Settling
from watcher.orders.claim import claim
from watcher.orders.inbox_reading import InboxQuery, InboxReading, read_inbox
from watcher.outbox.hold import hold


def _content(found: Found) -> bytes:
    return found.file.path.read_bytes()


@pytest.fixture
def read(settings) -> Callable[..., InboxReading]:
    """Read the inbox, in which files count as rested at once."""

    def do(**more) -> InboxReading:
        query = {"settings": settings, "insides": {}, "settling": Settling(0.0), "content": _content, "now": 0.0}
        return read_inbox(InboxQuery(**query | more))

    return do


@pytest.fixture
def hold_two(read, drop, archive, settings) -> Callable[[], Path]:
    """Hold an order of two files; gives its folder."""

    def do() -> Path:
        drop("a_front.png", "a_back.png")
        (order,) = claim([read().plans[0]], archive, 1)
        since = "2026-05-01T10:11:12+02:00"
        hold(order, ("Look at it.",), soft=True, archive=archive, held=settings.folders.held, since=since)
        return settings.folders.held / "a"

    return do


def test_reading_pairs_sides_and_changes_nothing(read, drop, hashes):
    drop("a_front.png", "a_back.png", "b_front.png")
    before = hashes()
    reading = read()
    assert [(plan.name, plan.missing) for plan in reading.plans] == [("a", None), ("b", "back")]
    assert hashes() == before


def test_an_inside_that_is_not_known_is_asked_for(read, drop, make):
    drop(**{"a.zip": make.packed({"front.png": b"1"})})
    assert [file.name for file in read().gathered.to_look] == ["a.zip"]


def test_a_file_that_has_not_rested_is_moving(read, drop):
    drop("a_front.png")
    (tmp,) = read(settling=Settling(5.0, has_end=lambda _path: False)).rested.moving
    assert tmp.name == "a_front.png"


@pytest.mark.parametrize(
    ("waited_s", "arriving"), [(None, True), (lambda _path: 1.0, True), (lambda _path: 1e9, False)]
)
def test_a_folder_that_came_back_in_part_is_waited_for_as_long_as_asked(read, hold_two, inbox, waited_s, arriving):
    """The status page gives up nothing; the service does after `give_up`."""
    back = hold_two().rename(inbox / "a")
    (back / "a_back.png").unlink()
    (plan,) = read(waited_s=waited_s).plans
    assert plan.arriving is arriving


def test_an_accepted_folder_in_held_is_waited_for_while_its_files_move(read, hold_two):
    folder = hold_two()
    folder.rename(folder.with_name("a ok"))
    assert [plan.arriving for plan in read().plans] == [False]
    moving = Settling(5.0, has_end=lambda _path: False)
    assert [file for plan in read(settling_held=moving).plans for file in plan.files] == []


def test_an_inbox_that_is_gone_is_an_error_and_not_empty(read, inbox):
    inbox.rmdir()
    with pytest.raises(FileNotFoundError):
        read()
