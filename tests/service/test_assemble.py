"""What a service is put together of."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from watcher.errors import ServiceStopped
from watcher.service.assemble import open_making, open_shop
from watcher.service.lock import take_lock
from watcher.service.shop import Shop
from watcher.service.state_folder import StateFolder
from watcher.settings.load import load_settings


@pytest.fixture
def state(print_folder: Path) -> Iterator[StateFolder]:
    folder = StateFolder(load_settings(print_folder / "settings.toml").folders, to_screen=False)
    yield folder
    folder.close()


def test_the_folders_are_made_and_the_journal_opened(print_folder: Path, state: StateFolder):
    shop = open_shop(load_settings(print_folder / "settings.toml"), state)
    assert all(folder.is_dir() for folder in (shop.inbox, shop.outbox, shop.held, shop.archive, shop.state))
    assert shop.journal.is_well()
    with pytest.raises(ServiceStopped):
        take_lock(shop.state)
    shop.rebuilding.close()
    shop.journal.close()


def test_a_folder_that_cannot_be_made_is_told(print_folder: Path, state: StateFolder):
    (print_folder / "archive").write_text("a file of that name")
    with pytest.raises(ServiceStopped, match="The print folder cannot be used"):
        open_shop(load_settings(print_folder / "settings.toml"), state)


@pytest.mark.parametrize("once", [True, False])
def test_orders_wait_for_others_on_their_sheet_only_while_the_service_goes_on(
    shop: Shop, inline_workers: None, once: bool
):
    making = open_making(shop, once=once)
    assert making.runs.pool.in_haste is once
    assert making.budget is not None
