"""The status page as a file: written when something changed, and never in pieces."""

import os
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.status.a_day import EMPTY, NOW, day
from watcher.records.health import Health
from watcher.status.model import (
    Overview,
)
from watcher.status.page import StatusPage, render


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "status.html"


@pytest.fixture
def update(file: Path) -> Callable[..., bool]:
    """Update the page at a time, which then is the time of the file too; gives whether a new file was written."""

    def at(page: StatusPage, seen: Overview, now: datetime, **how: Any) -> bool:
        before = file.stat().st_ino if file.exists() else None
        page.update(seen, now, **how)
        if file.stat().st_ino == before:
            return False
        os.utime(file, (now.timestamp(), now.timestamp()))
        return True

    return at


class TestFile:
    def test_is_written_whole_and_leaves_nothing_beside_it(self, file: Path, update: Callable[..., bool]) -> None:
        assert update(StatusPage(file), day(), NOW)
        assert file.read_text("utf-8") == render(day(), NOW)
        assert [path.name for path in file.parent.iterdir()] == ["status.html"]

    def test_stays_as_it_is_while_nothing_has_changed(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        assert not update(page, day(), NOW + timedelta(minutes=14))

    def test_stays_as_it_is_while_only_the_clock_goes_on(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        later = NOW + timedelta(minutes=14)
        assert not update(page, replace(day(), health=Health(at_work=True, last_scan=later)), later)

    def test_is_renewed_after_a_quarter_of_an_hour(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        assert update(page, day(), NOW + timedelta(minutes=15))

    def test_is_written_again_when_something_changed(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        paused = replace(day(), health=Health(at_work=True, last_scan=NOW, paused="the disk is full"))
        assert update(page, paused, NOW + timedelta(seconds=2))

    def test_is_written_at_most_once_a_second(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, EMPTY, NOW)
        assert not update(page, day(), NOW + timedelta(seconds=0.9))
        assert not page.update(day(), NOW + timedelta(seconds=0.9))  # and says so
        assert update(page, day(), NOW + timedelta(seconds=1.1))

    def test_is_written_at_once_when_it_is_now_or_never(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, EMPTY, NOW)
        assert update(page, day(), NOW + timedelta(seconds=0.1), at_once=True)

    def test_of_an_earlier_run_counts(self, file: Path, update: Callable[..., bool]) -> None:
        """`once` from a timer does not wake a sync program every minute."""
        update(StatusPage(file), day(), NOW)
        assert not update(StatusPage(file), day(), NOW + timedelta(minutes=1))

    def test_that_somebody_deleted_comes_back(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        file.unlink()
        assert update(page, day(), NOW + timedelta(seconds=5))

    def test_is_written_although_the_clock_was_set_back(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, EMPTY, NOW)
        assert update(page, day(), NOW - timedelta(hours=1))

    def test_follows_no_link(self, file: Path) -> None:
        other = file.with_name("other.txt")
        other.write_text("mine")
        file.symlink_to(other)
        StatusPage(file).update(day(), NOW)
        assert other.read_text() == "mine"
        assert not file.is_symlink()

    @pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
    def test_waits_for_nobody_who_put_a_pipe_in_its_place(self, file: Path) -> None:
        os.mkfifo(file)
        assert StatusPage(file).update(day(), NOW)
        assert file.is_file()

    def test_that_cannot_be_written_is_an_error_of_the_disk(self, file: Path) -> None:
        file.mkdir()
        with pytest.raises(OSError, match="status"):
            StatusPage(file).update(day(), NOW)
