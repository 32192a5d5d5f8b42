"""What the parts of the service share: the folders of the settings in force, and the time as it is written down."""

from datetime import datetime, timedelta, timezone
from pathlib import Path

from watcher.service.shop import Shop
from watcher.settings.load import load_settings


def test_each_folder_is_the_one_of_the_settings_in_force(shop: Shop, print_folder: Path, tmp_path: Path):
    assert (shop.inbox, shop.archive) == (print_folder / "inbox", print_folder / "archive")
    file = tmp_path / "other.toml"
    text = (print_folder / "settings.toml").read_text()
    file.write_text(f'{text}\n[folders]\nheld = "set aside"\noutbox = "{tmp_path}/out"\n')
    shop.settings = load_settings(file)
    assert (shop.held, shop.outbox, shop.state) == (tmp_path / "set aside", tmp_path / "out", tmp_path / "state")


def test_a_stamp_has_the_second_and_the_offset(shop: Shop):
    shop.now = lambda: datetime(2026, 3, 1, 9, 5, 7, 999_999, tzinfo=timezone(timedelta(hours=-3, minutes=-30)))
    assert shop.stamp() == "2026-03-01T09:05:07-03:30"
