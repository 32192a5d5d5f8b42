"""The folder of a sync program is known by what such programs leave in it. The marks: from memory, from handbooks."""

import pytest

from watcher.records.sync_marks import synced_folder


@pytest.fixture
def state(tmp_path):
    (tmp_path / "synced/shop").mkdir(parents=True)
    return tmp_path / "synced/shop/state"


@pytest.mark.parametrize(
    "mark", [".dropbox", ".dropbox.cache", ".stfolder", ".stignore", "._sync_0a1b.db", ".sync_journal.db", ".sync/ID"]
)
def test_a_mark_above_is_found_with_its_place(state, tmp_path, mark):
    (tmp_path / "synced" / mark).parent.mkdir(exist_ok=True)
    (tmp_path / "synced" / mark).touch()
    assert synced_folder(state) == (tmp_path / "synced", mark)


def test_a_link_is_followed(state, tmp_path):
    (tmp_path / "synced/.stfolder").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "synced/shop")
    assert synced_folder(tmp_path / "link/state") == (tmp_path / "synced", ".stfolder")


def test_beside_a_synced_folder_all_is_well(tmp_path, state):
    (tmp_path / "synced/.stfolder").mkdir()
    assert synced_folder(tmp_path / "state") is None


def test_the_settings_of_a_sync_program_in_the_home_are_no_mark(tmp_path, state):
    (tmp_path / "synced/.dropbox").mkdir()
    (tmp_path / "synced/.sync").mkdir()
    assert synced_folder(state) is None


def test_further_names_count_too(tmp_path, state):
    (tmp_path / "synced/.ours-7").touch()
    assert synced_folder(state) is None
    assert synced_folder(state, [".ours-*"]) == (tmp_path / "synced", ".ours-7")
