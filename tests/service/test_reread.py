"""A settings file that was changed is put in force, or the old settings stay and the log says why."""

from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.service.reread import Rereading
from watcher.service.shop import Shop

Write = Callable[[str, str], None]


@pytest.fixture
def rereading(shop: Shop) -> Rereading:
    return Rereading(shop.settings)


@pytest.fixture
def put(print_folder: Path) -> Write:
    """Put words of another length in the place of others in the settings file."""

    def write(old: str, new: str) -> None:
        file = print_folder / "settings.toml"
        text = file.read_text()
        assert old in text
        file.write_text(text.replace(old, new))

    return write


def test_a_change_is_in_force_and_said_once(shop: Shop, rereading: Rereading, put: Write):
    put("warn_ppi = 60", "warn_ppi = 120")
    for _ in range(2):
        rereading.reload_if_changed(shop)
    assert shop.settings.cards["tag"].warn_ppi == 120
    assert [line.endswith("the settings were changed and are in force") for line in shop.log.written] == [True]


def test_a_bad_change_keeps_the_old_settings_and_names_the_fault(shop: Shop, rereading: Rereading, put: Write):
    before = shop.settings
    put('sheet = "letter"', 'sheet = "lettuce"')
    for _ in range(2):
        rereading.reload_if_changed(shop)
    assert shop.settings is before
    (line,) = shop.log.written
    assert "the settings were changed, but the old ones stay" in line
    assert "lettuce" in line


def test_other_folders_wait_for_the_next_start_and_the_rest_does_not(shop: Shop, rereading: Rereading, put: Write):
    before = shop.settings.folders
    put("[cards.tag]", '[folders]\nheld = "set aside"\n[cards.badge]')
    rereading.reload_if_changed(shop)
    assert shop.settings.folders == before
    assert "badge" in shop.settings.cards
    assert "the settings name other folders; stop and start the program for these" in shop.log.written[0]


def test_a_file_that_is_gone_or_unchanged_says_nothing(shop: Shop, rereading: Rereading, print_folder: Path):
    before = shop.settings
    rereading.reload_if_changed(shop)
    (print_folder / "settings.toml").rename(print_folder / "elsewhere.toml")
    rereading.reload_if_changed(shop)
    assert shop.settings is before
    assert not shop.log.written
