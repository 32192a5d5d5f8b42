"""Small files are read again only when they have changed."""

import pytest

from watcher.status.small_files import LARGEST, Remembered


@pytest.fixture
def read():
    """Reads text, and lists what was read."""

    def read_text(file):
        read_text.files.append(file.name)
        return file.read_text()

    read_text.files = []
    return read_text


def test_an_unchanged_file_is_read_once(tmp_path, read):
    file, cache = tmp_path / "a", Remembered(read)
    file.write_text("one")
    for _ in range(3):
        cache.begin()
        assert cache.of(file) == "one"
    assert read.files == ["a"]


def test_a_changed_file_is_read_again(tmp_path, read):
    file, cache = tmp_path / "a", Remembered(read)
    file.write_text("one")
    cache.of(file)
    file.write_text("two three")
    assert cache.of(file) == "two three"


def test_what_one_overview_did_not_ask_for_is_forgotten(tmp_path, read):
    file, cache = tmp_path / "a", Remembered(read)
    file.write_text("one")
    cache.of(file)
    cache.begin()
    cache.begin()
    cache.of(file)
    assert read.files == ["a", "a"]


def test_links_folders_and_large_files_are_not_read(tmp_path, read):
    (tmp_path / "link").symlink_to(tmp_path / "b")
    (tmp_path / "b").write_text("b")
    (tmp_path / "large").write_bytes(bytes(LARGEST + 1))
    cache = Remembered(read)
    assert [cache.of(tmp_path / name) for name in ("link", "large", "", "gone")] == [None] * 4
    assert read.files == []
