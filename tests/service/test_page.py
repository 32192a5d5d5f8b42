"""When the page is brought up to date, and what it is told."""

from pathlib import Path

from watcher.records.health import Health
from watcher.service.loop import Service
from watcher.service.page import PageUpdates
from watcher.service.pauses import Part
from watcher.service.shop import Shop
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


def test_the_page_is_told_that_the_service_has_stopped(print_folder: Path, inline_workers: None):
    page = PageOfTest()
    service = Service(load_settings(print_folder / "settings.toml"), once=True, to_screen=False, page=page)
    service.start()
    service.run()
    assert [(health.at_work, last) for health, last in page.told] == [(True, False), (False, True)]
    assert page.told[0][0].last_scan is not None


def test_it_is_due_when_the_inbox_was_looked_at_again_or_the_service_began_to_wait(shop: Shop):
    updates, noon = PageUpdates(PageOfTest()), shop.now()
    updates.update(shop, noon, {}, (), at_work=True)
    assert not updates.is_due(shop, noon)
    assert updates.is_due(shop, shop.now())
    shop.pauses.begin(Part.TAKING, "the folder inbox is missing")
    assert updates.is_due(shop, noon)


def test_who_asks_has_it_brought_up_to_date_at_once(shop: Shop):
    updates, noon = PageUpdates(PageOfTest()), shop.now()
    updates.update(shop, noon, {}, (), at_work=True)
    updates.ask()
    assert updates.is_due(shop, noon)
    updates.update(shop, noon, {}, (), at_work=True)
    assert updates.due_at is None
