"""Folders and drives that go and come back: nothing is taken for deleted, nothing is made anew below a lost drive."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.long_form import LONG
from watcher.orders import claim
from watcher.service.lock import is_locked
from watcher.settings.load import load_settings
from watcher.status.overview import read_overview

Drop = Callable[..., None]
Draw = Callable[..., Path]
PARTS = ("inbox", "outbox", "held", "archive", "state")
TAKEN_AND_MADE = PARTS[:-1] if LONG else ("inbox", "outbox")  # where a real disk is mounted


def assert_made_once(driven, *names: str) -> None:
    assert driven.orders == sorted(names)
    assert sorted(path.name for path in (driven.folder / "archive").iterdir()) == sorted(names)
    assert (driven.left_lying(), driven.inbox) == ([], [])


# -- missing -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("part", PARTS[:-1])
def test_a_folder_that_was_renamed_is_waited_for_and_never_made_anew(driven, drop_pair: Drop, part: str) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    there, away = driven.folder / part, driven.folder / f"{part} away"
    there.rename(away)
    driven.go_on(30)
    assert not there.exists()
    assert f"the folder {part} is missing" in (driven.service.trouble or driven.service.making.paused)
    away.rename(there)
    driven.go_on(30)
    assert_made_once(driven, "lantern")
    assert driven.pauses == ["paused", "going on"]


@pytest.mark.parametrize("when", ["idle", "in hand"])
def test_the_folder_state_is_made_again_when_it_was_deleted_and_the_service_goes_on(
    driven, drop_pair: Drop, when: str
) -> None:
    """It alone can be made again: the journal from archive and held, the lock and the service's own log anew."""
    driven.start()
    drop_pair(driven.folder / "inbox", "lantern")
    driven.go_on(30)
    drop_pair(driven.folder / "inbox", "comet")
    if when == "in hand":
        driven.step_until_begun()
    shutil.rmtree(driven.folder / "state")
    driven.go_on(30)
    assert_made_once(driven, "comet", "lantern")
    assert driven.pauses == []
    assert any("the folder state was deleted" in line for line in driven.log)
    assert is_locked(driven.folder / "state")
    drop_pair(driven.folder / "inbox", "lantern")
    driven.go_on(30)
    assert any("the same art again" in line for line in driven.log)


def test_the_folder_state_is_not_made_below_a_drive_that_is_gone(driven, disk, drop_pair: Drop) -> None:
    drive = disk(driven.folder / "drive")
    file = driven.folder / "settings.toml"
    file.write_text(f'[folders]\nstate = "{driven.folder}/drive/state"\n{file.read_text()}')
    driven.start()
    drive.move_to(driven.folder.parent / "unplugged")
    drop_pair(driven.folder / "inbox")
    driven.go_on(30)
    assert list((driven.folder / "drive").iterdir()) == []
    drive.move_to(driven.folder / "drive")
    driven.go_on(60)
    assert_made_once(driven, "lantern")


@pytest.mark.parametrize("part", ["inbox", "outbox", "held"])
def test_a_folder_that_was_deleted_and_made_again_is_used(driven, drop_pair: Drop, part: str) -> None:
    driven.start()
    shutil.rmtree(driven.folder / part)
    driven.go_on(20)
    assert not (driven.folder / part).exists()
    (driven.folder / part).mkdir()
    drop_pair(driven.folder / "inbox")
    driven.go_on(20)
    assert_made_once(driven, "lantern")


def test_an_inbox_that_is_a_file_for_a_while_is_waited_for(driven, drop_pair: Drop) -> None:
    driven.start()
    (driven.folder / "inbox").rmdir()
    (driven.folder / "inbox").write_text("oops")
    driven.go_on(20)
    assert driven.service.trouble
    (driven.folder / "inbox").unlink()
    drop_pair(driven.folder / "inbox")
    driven.go_on(20)
    assert_made_once(driven, "lantern")


def test_a_half_that_waits_goes_on_waiting_when_the_inbox_was_away(driven, draw_card: Draw) -> None:
    """Away for longer than a half waits: that is no time in which its other side could have come."""
    driven.start()
    draw_card(driven.folder / "inbox/lantern_front.png")
    driven.go_on(60)
    (driven.folder / "inbox").rename(driven.folder / "away")
    driven.go_on(600)
    (driven.folder / "away").rename(driven.folder / "inbox")
    driven.go_on(60)
    assert (driven.held, driven.inbox) == ([], ["lantern_front.png"])
    draw_card(driven.folder / "inbox/lantern_back.png", word="B")
    driven.go_on(20)
    assert_made_once(driven, "lantern")


@pytest.mark.parametrize("part", PARTS[:-1])
def test_a_folder_that_goes_while_an_order_is_made_loses_nothing(driven, drop_pair: Drop, part: str) -> None:
    """It is gone in the moment in which the worker has done its work, before the order is delivered."""
    driven.start()
    drop_pair(driven.folder / "inbox")
    there, away = driven.folder / part, driven.folder / f"{part} away"
    driven.step_until_begun()
    there.rename(away)
    driven.go_on(20)
    assert not there.exists()
    away.rename(there)
    driven.go_on(30)
    assert_made_once(driven, "lantern")
    assert driven.pauses == ["paused", "going on"]


def test_an_outbox_that_was_made_anew_while_an_order_is_made_gets_it_all_the_same(driven, drop_pair: Drop) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.step_until_begun()
    shutil.rmtree(driven.folder / "outbox")
    (driven.folder / "outbox").mkdir()
    driven.go_on(30)
    assert_made_once(driven, "lantern")


def test_art_that_somebody_takes_out_of_the_archive_keeps_no_other_order(driven, drop_pair: Drop) -> None:
    """Before: the service waited for ever for files that were gone."""
    driven.start()
    drop_pair(driven.folder / "inbox", "robbed")
    driven.take_without_making()
    [folder] = [path for path in (driven.folder / "archive").glob(".taking-*") if path.is_dir()]
    (folder / "robbed_front.png").unlink()
    drop_pair(driven.folder / "inbox", "lantern")
    driven.go_on(40)
    assert driven.orders == ["lantern"]
    assert driven.inbox == ["robbed_back.png"]
    assert any("robbed: was taken away" in line for line in driven.log)


# -- drives ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("part", TAKEN_AND_MADE)
def test_below_a_lost_drive_nothing_is_taken_written_or_made(driven, disk, drop_pair: Drop, part: str) -> None:
    """The empty folder in which it was mounted is there still."""
    drive = disk(driven.folder / part)
    driven.start()
    drop_pair(driven.folder / "inbox")
    there, away = driven.folder / part, driven.folder.parent / "unplugged"
    drive.move_to(away)
    driven.go_on(30)
    assert there.is_dir()
    assert list(there.iterdir()) == []
    assert f"the drive of the folder {part} is not there" in (driven.service.trouble or driven.service.making.paused)
    drive.move_to(there)
    driven.go_on(30)
    assert_made_once(driven, "lantern")
    assert driven.pauses == ["paused", "going on"]


def test_a_drive_of_the_outbox_lost_before_delivery_is_waited_for(driven, disk, drop_pair: Drop) -> None:
    drive = disk(driven.folder / "outbox")
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.step_until_begun()
    drive.move_to(driven.folder.parent / "unplugged")
    driven.go_on(30)
    assert list((driven.folder / "outbox").iterdir()) == []
    drive.move_to(driven.folder / "outbox")
    driven.go_on(30)
    assert_made_once(driven, "lantern")


def test_a_claim_cut_short_by_a_lost_drive_of_the_inbox_is_undone_when_it_is_back(
    driven, disk, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Front copied, drive gone, back not: the front must not be put below the place of the drive."""
    drive, away = disk(driven.folder / "inbox"), driven.folder.parent / "unplugged"
    driven.start()
    drop_pair(driven.folder / "inbox")
    real = claim.sha256_of

    def unplug(path: Path) -> str:
        if drive.folder != away:
            drive.move_to(away)
        return real(path)

    monkeypatch.setattr(claim, "sha256_of", unplug)
    driven.go_on(20)
    assert list((driven.folder / "inbox").iterdir()) == []
    monkeypatch.undo()
    drive.move_to(driven.folder / "inbox")
    driven.go_on(40)
    assert_made_once(driven, "lantern")


@pytest.mark.parametrize("part", TAKEN_AND_MADE)
def test_a_locked_drive_is_waited_for(driven, disk, drop_pair: Drop, part: str) -> None:
    """Read-only as a whole, as after an error of the file system. A file open for writing keeps a state from that."""
    drive = disk(driven.folder / part)
    driven.start()
    drop_pair(driven.folder / "inbox", "bad", size=(100, 138))
    drop_pair(driven.folder / "inbox", "lantern")
    drive.lock()
    driven.go_on(30)
    assert driven.service.trouble or driven.service.making.paused
    drive.unlock()
    driven.go_on(40)
    assert (driven.orders, driven.held) == (["lantern"], ["bad"])
    assert (driven.left_lying(), driven.inbox) == ([], [])
    assert driven.pauses == ["paused", "going on"]


def test_the_reason_says_which_folder_may_not_be_written_to(driven, disk, drop_pair: Drop) -> None:
    drive = disk(driven.folder / "outbox")
    driven.start()
    drive.lock()
    drop_pair(driven.folder / "inbox")
    driven.go_on(10)
    assert driven.service.making.paused.startswith(f"writing is not allowed in {driven.folder / 'outbox'}.")


# -- what people see ---------------------------------------------------------------------------------------------------


def test_status_says_why_it_waits(driven, monkeypatch: pytest.MonkeyPatch) -> None:
    """At once, also where the status page is far from its next turn.

    Before: both waited for twenty times as long as the look for the page had taken, on a busy machine many seconds.
    """
    monkeypatch.setattr("watcher.status.page_writer.SOONEST_S", 3600.0)
    driven.start()
    (driven.folder / "held").rename(driven.folder / "away")
    driven.step(6)
    seen = read_overview(load_settings(driven.folder / "settings.toml"))
    assert "the folder held is missing" in seen.health.paused
    (driven.folder / "away").rename(driven.folder / "held")
    driven.step(6)
    assert read_overview(load_settings(driven.folder / "settings.toml")).health.paused is None


def test_one_file_that_cannot_be_taken_does_not_keep_the_others(
    driven, draw_card: Draw, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox", "stuck")
    drop_pair(driven.folder / "inbox", "lantern")
    real = Path.rename

    def rename(self: Path, target: Path) -> Path:
        if self.name == "stuck_back.png":
            raise PermissionError(1, os.strerror(1), str(self))
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    driven.go_on(60)
    assert driven.orders == ["lantern"]
    assert driven.inbox == ["stuck_back.png", "stuck_front.png"]
    assert driven.pauses == ["paused"]  # said once, however often it is tried
    monkeypatch.undo()
    driven.go_on(20)
    assert_made_once(driven, "lantern", "stuck")
    assert driven.pauses == ["paused", "going on"]
