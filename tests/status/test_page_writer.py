"""The board: the page and the health kept true while a service works."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from watcher.records.health import Health
from watcher.service.lock import take_lock
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.status import page_writer as board_module
from watcher.status.overview import read_overview
from watcher.status.page import FILE_NAME
from watcher.status.page_writer import PageWriter

AT_WORK = Health(at_work=True, last_scan=datetime(2026, 11, 25, 14, 5, tzinfo=UTC))


@pytest.fixture
def settings(print_folder: Path) -> Settings:
    for name in ("outbox", "held", "archive", "state"):
        (print_folder / name).mkdir()
    return load_settings(print_folder / "settings.toml")


@pytest.fixture
def page(settings: Settings) -> Path:
    return settings.folders.outbox / FILE_NAME


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """A steady clock that the test sets; looking takes no time."""
    now = [1000.0]
    monkeypatch.setattr(board_module.time, "monotonic", lambda: now[0])
    return now


def test_writes_the_page_and_is_content(settings: Settings, page: Path) -> None:
    assert PageWriter(settings.folders.outbox).update(settings, AT_WORK) is None
    assert "The program is running." in page.read_text("utf-8")


def test_asks_to_be_called_again_when_it_is_too_soon(settings: Settings, page: Path, clock: list[float]) -> None:
    board = PageWriter(settings.folders.outbox)
    board.update(settings, AT_WORK)
    (settings.folders.held / "menu").mkdir()
    clock[0] += 0.25
    assert board.update(settings, AT_WORK) == pytest.approx(0.75)
    assert ">menu<" not in page.read_text("utf-8")


def test_shows_what_changed_when_it_is_called_again(
    settings: Settings, page: Path, clock: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    board = PageWriter(settings.folders.outbox)
    board.update(settings, AT_WORK)
    (settings.folders.held / "menu").mkdir()
    clock[0] += 1.5
    later = datetime.fromtimestamp(page.stat().st_mtime + 1.5, UTC)
    monkeypatch.setattr(board_module, "local_now", lambda: later)
    assert board.update(settings, AT_WORK) is None
    assert ">menu<" in page.read_text("utf-8")


def test_writes_at_once_when_the_service_stops(settings: Settings, page: Path) -> None:
    board = PageWriter(settings.folders.outbox)
    board.update(settings, AT_WORK)
    board.update(settings, Health(at_work=False), last=True)
    assert "The program is not running now." in page.read_text("utf-8")


def test_takes_a_small_share_of_the_time_when_looking_takes_long(
    settings: Settings, clock: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    board = PageWriter(settings.folders.outbox)
    original = board._reader.read

    def slow(*words: object) -> object:
        clock[0] += 2.0
        return original(*words)  # type: ignore[arg-type]

    monkeypatch.setattr(board._reader, "read", slow)
    board.update(settings, AT_WORK)
    assert board.update(settings, AT_WORK) == pytest.approx(40.0)


def test_tells_other_processes_how_the_service_is(settings: Settings) -> None:
    paused = Health(at_work=True, last_scan=AT_WORK.last_scan, paused="the disk is full")
    with take_lock(settings.folders.state):
        PageWriter(settings.folders.outbox).update(settings, paused)
        assert read_overview(settings).health == paused


def test_writes_the_health_now_and_then_only(
    settings: Settings, clock: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    written: list[Health] = []
    monkeypatch.setattr(board_module, "write_health", lambda _state, health: written.append(health))
    board = PageWriter(settings.folders.outbox)
    for _ in range(61):
        board.update(settings, AT_WORK)
        clock[0] += 2.0
    assert len(written) == 3


def test_that_cannot_write_harms_nothing(settings: Settings, page: Path) -> None:
    page.mkdir()
    assert PageWriter(settings.folders.outbox).update(settings, AT_WORK) is None


def test_shows_the_notes_that_it_is_given(settings: Settings, page: Path) -> None:
    PageWriter(settings.folders.outbox).update(settings, AT_WORK, notes=("The correction of office is old.",))
    assert "The correction of office is old." in page.read_text("utf-8")


def test_has_the_service_find_no_work_in_its_page(
    settings: Settings, print_folder: Path, names_in: Callable[[Path], list[str]]
) -> None:
    PageWriter(settings.folders.outbox).update(settings, AT_WORK)
    assert names_in(print_folder) == ["outbox/status.html", "settings.toml"]
