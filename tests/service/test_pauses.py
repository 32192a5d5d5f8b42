"""A pause is one pause to people; and when it is worth trying again."""

import os
import shutil
from collections import namedtuple
from pathlib import Path
from types import SimpleNamespace

import pytest

from watcher.service.pauses import Part, Patience, Pauses


class TestPauses:
    def test_one_is_said_at_its_beginning_and_at_its_end(self) -> None:
        said: list[str] = []
        pauses = Pauses(said.append)
        for _ in range(3):
            pauses.begin(Part.MAKING, "the disk is full")
        assert (pauses.why(Part.MAKING), pauses.why(Part.TAKING)) == ("the disk is full", None)
        for _ in range(3):
            pauses.end(Part.MAKING)
        assert said == ["paused: the disk is full", "going on"]
        assert pauses.first_reason is None

    def test_two_parts_that_wait_are_one_pause(self) -> None:
        said: list[str] = []
        pauses = Pauses(said.append)
        pauses.begin(Part.TAKING, "the archive is missing")
        pauses.begin(Part.MAKING, "the journal cannot be written")
        pauses.end(Part.TAKING)
        assert pauses.first_reason == "the journal cannot be written"
        pauses.end(Part.MAKING)
        assert said == ["paused: the archive is missing", "going on"]

    def test_an_end_without_a_beginning_says_nothing(self) -> None:
        said: list[str] = []
        Pauses(said.append).end(Part.TAKING)
        assert said == []

    def test_the_reason_is_one_line(self) -> None:
        said: list[str] = []
        Pauses(said.append).begin(Part.TAKING, "a\nb")
        assert said == ["paused: a\\nb"]


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    """A folder's disk and the steady clock as the test has them."""
    disk = SimpleNamespace(now=100.0, free=0, is_writable=True)
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr("watcher.service.pauses.time", SimpleNamespace(monotonic=lambda: disk.now))
    monkeypatch.setattr(shutil, "disk_usage", lambda _folder: usage(0, 0, disk.free))
    monkeypatch.setattr(os, "access", lambda _folder, _how: disk.is_writable)
    return disk


def tries(patience: Patience, disk: SimpleNamespace, seconds: int) -> list[int]:
    """After how many seconds it is time, when each try is in vain."""
    begin, found = disk.now, []
    while disk.now < begin + seconds:
        disk.now += 1
        if patience.is_time():
            found.append(round(disk.now - begin))
            patience.begin(for_want_of_room=True)
    return found


class TestPatience:
    def test_tries_grow_rarer_up_to_each_minute(self, disk: SimpleNamespace) -> None:
        patience = Patience([Path("outbox")])
        patience.begin(for_want_of_room=True)
        found = tries(patience, disk, 400)
        gaps = [later - sooner for sooner, later in zip([0, *found], found, strict=False)]
        assert gaps[0] <= 7
        assert gaps == sorted(gaps)
        assert max(gaps) <= 62

    def test_more_room_is_seen_within_seconds(self, disk: SimpleNamespace) -> None:
        patience = Patience([Path("outbox")])
        patience.begin(for_want_of_room=True)
        tries(patience, disk, 200)
        disk.free = 10_000_000
        assert tries(patience, disk, 10)[0] <= 3

    def test_more_room_means_nothing_when_that_was_not_what_was_wanted(self, disk: SimpleNamespace) -> None:
        """Other programs write and delete all the time."""
        patience = Patience([Path("outbox")])
        patience.begin(for_want_of_room=False)
        disk.free = 10_000_000
        disk.now += 3
        assert not patience.is_time()

    def test_a_folder_that_may_be_written_to_again_is_seen_within_seconds(self, disk: SimpleNamespace) -> None:
        disk.is_writable = False
        patience = Patience([Path("outbox")])
        patience.begin(for_want_of_room=False)
        tries(patience, disk, 200)
        disk.is_writable = True
        assert tries(patience, disk, 10)[0] <= 3

    def test_asked_again_at_once_it_is_not_time(self, disk: SimpleNamespace) -> None:
        """Else a try that cannot begin (all workers are busy) would be asked for without end."""
        patience = Patience([Path("outbox")])
        patience.begin(for_want_of_room=True)
        disk.now += 1000
        assert patience.is_time()
        assert not patience.is_time()
        assert patience.next_in() > 1

    def test_after_a_pause_that_is_over_the_next_begins_anew(self, disk: SimpleNamespace) -> None:
        patience = Patience([Path("outbox")])
        patience.begin(for_want_of_room=True)
        tries(patience, disk, 400)
        patience.end()
        patience.begin(for_want_of_room=True)
        assert tries(patience, disk, 10)[0] <= 7


class TestPatienceAtItsEnds:
    def test_before_anything_failed_it_is_time(self, disk: SimpleNamespace) -> None:
        disk.now = 0.0
        patience = Patience([Path("outbox")])
        assert patience.next_in() == 0
        assert patience.is_time()

    def test_room_that_was_there_from_the_start_is_not_more_room(self, disk: SimpleNamespace) -> None:
        disk.free = 10_000_000
        patience = Patience([Path("outbox")])
        patience.begin(for_want_of_room=True)
        disk.now += 3
        assert not patience.is_time()

    def test_the_next_pause_is_tried_as_often_as_the_first(self, disk: SimpleNamespace) -> None:
        patience, found = Patience([Path("outbox")]), []
        for _ in range(2):
            patience.begin(for_want_of_room=True)
            found.append(tries(patience, disk, 200))
            patience.end()
        assert found[0] == found[1]
