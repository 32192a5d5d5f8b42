"""Start, steps and stop of a service, by a steady clock that the test holds."""

from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.errors import ServiceStopped
from watcher.records.health import Health
from watcher.service.lock import take_lock
from watcher.service.loop import Service
from watcher.settings.load import load_settings


class PageOfTest:
    """Notes what it was told."""

    def __init__(self) -> None:
        self.told: list[tuple[Health, bool]] = []

    def update(self, *shown: object, has_outbox: bool, last: bool) -> None:
        assert has_outbox
        _, health, *_ = shown
        assert isinstance(health, Health)
        self.told.append((health, last))


def test_a_gone_inbox_is_trouble_until_the_next_try_after_five_seconds(service: Service):
    elsewhere = service.shop.inbox.with_name("elsewhere")
    service.shop.inbox.rename(elsewhere)
    service.step(0.0)
    assert "the folder inbox is missing" in str(service.trouble)
    elsewhere.rename(service.shop.inbox)
    service.step(4.9)
    assert service.trouble
    service.step(5.0)
    assert service.trouble is None
    assert service.shop.log.written[-1].endswith("going on")


def test_state_that_was_deleted_at_work_is_made_again_with_its_journal_and_lock(service: Service, tmp_path: Path):
    service.step(0.0)
    service.shop.state.rename(tmp_path / "gone")
    service.step(1.0)
    assert any("the folder state was deleted" in line for line in service.shop.log.written)
    assert service.shop.journal.is_well()
    with pytest.raises(ServiceStopped):
        take_lock(service.shop.state)


def test_state_on_a_network_drive_is_refused_and_nothing_stays_locked(
    print_folder: Path, monkeypatch: pytest.MonkeyPatch
):
    settings = load_settings(print_folder / "settings.toml")
    monkeypatch.setattr("watcher.service.loop.network_kind", lambda _folder: "nfs4")
    with pytest.raises(ServiceStopped, match=r"network drive \(nfs4\)"):
        Service(settings, once=True, to_screen=False).start()
    take_lock(settings.folders.state).close()


def test_once_says_what_it_came_to(once: Callable[[Path], Service], print_folder: Path, draw_card: Callable[..., Path]):
    draw_card(print_folder / "inbox/otter_front.png")
    lines = [*once(print_folder).came_to()]
    assert lines == ["0 made, 0 held, 1 waiting.", "  otter: waits for its back"]


def test_the_page_is_told_that_the_service_has_stopped(print_folder: Path, inline_workers: None):
    page = PageOfTest()
    service = Service(load_settings(print_folder / "settings.toml"), once=True, to_screen=False, page=page)
    service.start()
    service.run()
    assert [(health.at_work, last) for health, last in page.told] == [(True, False), (False, True)]
    assert page.told[0][0].last_scan is not None
