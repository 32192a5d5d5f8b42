"""A folder that is missing is never taken for an empty one, and `state` alone is made again."""

import os
from pathlib import Path

import pytest

from watcher.records.trouble import FolderGone
from watcher.service.roots import Roots
from watcher.settings.folders import FolderSettings
from watcher.settings.load import load_settings

NAMES = ("inbox", "outbox", "held", "archive", "state")


@pytest.fixture
def folders(print_folder: Path) -> FolderSettings:
    """Those of a print folder, all there."""
    for name in NAMES:
        (print_folder / name).mkdir(exist_ok=True)
    return load_settings(print_folder / "settings.toml").folders


@pytest.fixture
def drives(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Folders at which a drive begins."""
    found: set[str] = set()
    monkeypatch.setattr(os.path, "ismount", lambda path: str(path) in found)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_the_folder_that_is_missing_is_named(folders: FolderSettings, name: str):
    roots = Roots(folders)
    roots.check()
    folder: Path = getattr(folders, name)
    folder.rmdir()
    folder.write_text("a file is no folder")
    with pytest.raises(FolderGone, match=f"the folder {name} is missing"):
        roots.check()
    assert (roots.are_there(), roots.has_outbox()) == (False, name != "outbox")


def test_an_empty_folder_where_a_drive_was_is_not_its_folder(folders: FolderSettings, drives: set[str]):
    drives.add(str(folders.outbox.resolve()))
    roots = Roots(folders)
    assert roots.has_outbox()
    drives.clear()
    assert not roots.has_outbox()
    with pytest.raises(FolderGone, match="the drive of the folder outbox is not there"):
        roots.check()


def test_state_that_was_deleted_is_made_again_once_and_no_other_folder_is(folders: FolderSettings):
    roots = Roots(folders)
    assert not roots.make_state_again()
    folders.state.rmdir()
    folders.held.rmdir()
    assert roots.make_state_again()
    assert not roots.make_state_again()
    assert folders.state.is_dir()
    assert not folders.held.exists()


def test_state_is_not_made_again_where_its_drive_or_its_parent_is_gone(folders: FolderSettings, drives: set[str]):
    plain = Roots(folders)
    drives.add(str(folders.state.resolve()))
    on_drive = Roots(folders)
    folders.state.rmdir()
    assert not on_drive.make_state_again()
    folders.state.parent.rename(folders.state.parent.with_name("elsewhere"))
    assert not plain.make_state_again()
    assert not folders.state.parent.exists()
