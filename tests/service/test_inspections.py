"""Files whose inside must be known first are inspected by workers; one that kills two of them is not tried again."""

import errno
from pathlib import Path

import pytest

from watcher.inbox.scan import SeenFile, scan
from watcher.service.inspections import Inspections
from watcher.service.life.making import Making
from watcher.work.answer import Answer


@pytest.fixture
def file(making: Making) -> SeenFile:
    """A file in the inbox."""
    Path(making.shop.inbox / "cards.zip").write_bytes(b"PK")
    (seen,) = scan(making.shop.inbox, ()).files
    return seen


def test_what_a_worker_finds_is_known_until_the_file_is_gone(making: Making, file: SeenFile):
    inspections = Inspections(making)
    inspections.take(file, Answer(result="inside"))
    inspections.want((), frozenset({file.identity}))
    assert inspections.known == {file.identity: "inside"}
    inspections.want((), frozenset())
    assert inspections.known == {}


def test_the_second_worker_that_dies_over_a_file_is_the_last(making: Making, file: SeenFile):
    inspections = Inspections(making)
    for known in (False, True):
        assert inspections.take(file, Answer(died="it took too long"))
        assert (file.identity in inspections.known) is known
    assert inspections.known[file.identity].startswith("cards.zip cannot be opened safely (it took too long)")


def test_trouble_pauses_but_when_other_work_went_well_it_is_the_files_own(making: Making, file: SeenFile):
    inspections = Inspections(making)
    assert inspections.take(file, Answer(trouble="the disk fails")) is False
    assert making.paused
    inspections.went_well += 1
    assert inspections.take(file, Answer(trouble="the disk fails")) is True
    assert "cannot be read" in inspections.known[file.identity]


def test_a_worker_that_cannot_be_started_leaves_the_file_waiting(
    making: Making, file: SeenFile, monkeypatch: pytest.MonkeyPatch
):
    def fails(*_: object) -> None:
        raise OSError(errno.ENOSPC, "no room")

    inspections = Inspections(making)
    inspections.want((file,), frozenset({file.identity}))
    monkeypatch.setattr(making.workers[0], "start", fails)
    assert inspections.give(making.workers[0]) is False
    assert inspections.are_wanted
