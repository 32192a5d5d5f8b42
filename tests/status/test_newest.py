"""The newest folders, however many there are."""

import os

from watcher.status.newest import newest_folders


def _folder(parent, name, changed_s):
    (parent / name).mkdir()
    os.utime(parent / name, (changed_s, changed_s))


def test_the_newest_come_first_and_the_others_are_counted(tmp_path):
    for number in range(5):
        _folder(tmp_path, f"order-{number}", 1_000 + number)
    found, more = newest_folders(tmp_path, 2)
    assert [folder.name for folder in found] == ["order-4", "order-3"]
    assert more == 3


def test_files_links_and_hidden_folders_count_for_nothing(tmp_path):
    _folder(tmp_path, ".making-1", 1_000)
    (tmp_path / "note.txt").write_text("x")
    (tmp_path / "link").symlink_to(tmp_path)
    assert newest_folders(tmp_path, 5) == ([], 0)


def test_a_folder_that_is_not_there_has_none(tmp_path):
    assert newest_folders(tmp_path / "gone", 5) == ([], 0)
