"""A glance says that nothing waits only where nothing does."""

from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.settings.load import load_settings
from watcher.status.empty import is_empty, nothing_waits


@pytest.fixture
def glance(print_folder: Path) -> Callable[[], bool]:
    (print_folder / "held").mkdir(exist_ok=True)
    (print_folder / "inbox/tag").mkdir(exist_ok=True)
    return lambda: nothing_waits(load_settings(print_folder / "settings.toml"))


def test_folders_of_cards_and_what_systems_leave_are_nothing(print_folder: Path, glance: Callable[[], bool]) -> None:
    (print_folder / "inbox/.DS_Store").touch()
    (print_folder / "inbox/tag/Thumbs.db").touch()
    assert glance()


@pytest.mark.parametrize("name", ["moon.png", "tag/moon.png", "tag/held.toml", "notes.docx"])
def test_a_file_waits(print_folder: Path, glance: Callable[[], bool], name: str) -> None:
    (print_folder / "inbox" / name).touch()
    assert not glance()


@pytest.mark.parametrize("name", ["inbox/again moon", "inbox/tag/moon", "held/moon"])
def test_a_folder_waits(print_folder: Path, glance: Callable[[], bool], name: str) -> None:
    (print_folder / name).mkdir()
    assert not glance()


def test_a_link_is_no_art_but_is_told_of(print_folder: Path, glance: Callable[[], bool]) -> None:
    (print_folder / "inbox/moon.png").symlink_to(print_folder / "settings.toml")
    assert not glance()


def test_an_inbox_that_is_gone_is_not_empty(print_folder: Path, glance: Callable[[], bool]) -> None:
    (print_folder / "inbox/tag").rmdir()
    (print_folder / "inbox").rmdir()
    with pytest.raises(FileNotFoundError):
        glance()


def test_a_folder_that_is_not_there_is_empty_and_a_file_in_its_place_is_not(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    assert is_empty(tmp_path / "none")
    assert not is_empty(tmp_path / "file")
