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


def test_a_path_out_of_the_folder_waits_for_a_yes_and_then_the_whole_change_is_in_force(
    shop: Shop, rereading: Rereading, put: Write, print_folder: Path, say_yes: Callable[[Path], None]
):
    put("[cards.tag]", '[cards.tag]\nsides = 2\ncommon_back = "../back.png"\nquantity = 7')
    put("sides = 1\n", "")
    for _ in range(2):
        rereading.reload_if_changed(shop)
    (line,) = shop.log.written
    assert line.startswith("the settings were changed, but the old ones stay: cards.tag.common_back is")
    assert shop.settings.cards["tag"].quantity == 1
    assert rereading.notes == (f"T{line[1:]}",)
    say_yes(print_folder)
    rereading.reload_if_changed(shop)
    assert shop.settings.cards["tag"].quantity == 7
    assert rereading.notes == ()


def test_a_command_without_a_yes_is_said_once_and_the_rest_of_the_change_is_in_force(
    shop: Shop, rereading: Rereading, put: Write
):
    put("[service]", '[service]\non_finished = ["lp", "{sheets}"]')
    for _ in range(2):
        rereading.reload_if_changed(shop)
    assert [line[:46] for line in shop.log.written] == [
        "the settings were changed and are in force",
        "The command after each order is not run: lp '{",
    ]
    assert len(rereading.notes) == 1


def test_a_file_that_is_gone_or_unchanged_says_nothing(shop: Shop, rereading: Rereading, print_folder: Path):
    before = shop.settings
    rereading.reload_if_changed(shop)
    (print_folder / "settings.toml").rename(print_folder / "elsewhere.toml")
    rereading.reload_if_changed(shop)
    assert shop.settings is before
    assert not shop.log.written
