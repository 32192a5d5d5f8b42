"""What waits in the inbox, listed for people; nothing is taken. Seen as a whole in test_overview.py."""

from datetime import timedelta
from pathlib import Path

import pytest

from watcher.inbox.found import Found
from watcher.inbox.names import read_name
from watcher.inbox.scan import Identity, SeenFile
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.settings.names import NameSettings
from watcher.status.inbox import InboxView, read_little


@pytest.fixture
def settings(print_folder: Path) -> Settings:
    return load_settings(print_folder / "settings.toml")


def test_a_complete_order_and_a_half_are_listed(settings: Settings, drop_pair, draw_card) -> None:
    inbox = settings.folders.inbox
    drop_pair(inbox)
    draw_card(inbox / "otter_front.png")
    waiting = {order.order: order for order in InboxView().read(settings, {}).waiting.entries}
    assert {name: order.missing for name, order in waiting.items()} == {"lantern": None, "otter": "back"}
    otter = waiting["otter"]
    assert otter.since is not None
    assert otter.held_after == otter.since + timedelta(seconds=settings.service.wait_for_other_side)


def test_a_zip_that_nobody_has_opened_yet_is_listed_as_that(settings: Settings) -> None:
    (settings.folders.inbox / "all.zip").write_bytes(b"PK\x05\x06" + bytes(18))
    (order,) = InboxView().read(settings, {}).waiting.entries
    assert (order.order, order.why, order.held_after) == ("all.zip", "not looked at yet", None)


def test_an_inbox_that_is_gone_is_said(settings: Settings) -> None:
    settings.folders.inbox.rmdir()
    assert str(InboxView().read(settings, {}).trouble).startswith("The inbox cannot be looked at: ")


def test_large_files_are_told_apart_by_size_and_both_ends(tmp_path: Path) -> None:
    def little(data: bytes) -> bytes:
        path = tmp_path / "a_front.png"
        path.write_bytes(data)
        file = SeenFile(path=path, folder=None, name=path.name, identity=Identity.of(path.stat()))
        return read_little(Found(file=file, parts=read_name(path.name, NameSettings())))

    middle = bytes(300_000)
    texts = [b"A" + middle + b"Z", b"B" + middle + b"Z", b"A" + middle + b"Y", b"A" + middle + b"Z "]
    assert len({little(data) for data in texts}) == len(texts)
    assert len(little(texts[0])) < 140_000
