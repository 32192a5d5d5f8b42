"""A taken order goes back to where its files lay, and nothing that lies there now is harmed."""

import errno
import json
from pathlib import Path

import pytest

from tests.orders.an_order import file_names
from watcher.disk import moves as disk
from watcher.inbox.scan import SeenFile
from watcher.orders import claim as claims
from watcher.orders.claim import claim, drop_taking, note_of, put_back, read_note, taking_folder, write_note

# -- putting back ------------------------------------------------------------------------------------------------------


@pytest.fixture
def taken(drop, pair, archive):
    """An order of one file, taken."""
    drop("tag/a.png")
    (order,) = claim(pair(), archive, 1)
    return order


def test_a_place_taken_by_other_bytes_is_left_to_them(taken, inbox, archive, make):
    (inbox / "tag" / "a.png").write_bytes(b"newer")
    put_back(taken, archive)
    assert file_names(inbox / "tag") == ["a (2).png", "a.png"]
    assert (inbox / "tag" / "a.png").read_bytes() == b"newer"
    assert (inbox / "tag" / "a (2).png").read_bytes() == make.png("tag/a.png")


def test_a_place_taken_by_the_same_bytes_is_enough(taken, inbox, archive, make):
    (inbox / "tag" / "a.png").write_bytes(make.png("tag/a.png"))
    put_back(taken, archive)
    assert file_names(inbox / "tag") == ["a.png"]


def test_a_place_taken_by_a_link_or_a_folder_is_left_alone(taken, inbox, archive, tmp_path, make):
    (inbox / "tag" / "a.png").symlink_to(tmp_path / "settings.toml")
    (inbox / "tag" / "a (2).png").mkdir()
    put_back(taken, archive)
    assert (inbox / "tag" / "a.png").is_symlink()
    assert (inbox / "tag" / "a (3).png").read_bytes() == make.png("tag/a.png")


def test_a_card_folder_that_was_removed_is_made_again(taken, inbox, archive):
    (inbox / "tag").rmdir()
    put_back(taken, archive)
    assert file_names(inbox / "tag") == ["a.png"]


def test_an_inbox_whose_disk_is_gone_is_not_made_up(taken, inbox, archive, make):
    """A file put below an empty mount point would be hidden once the disk is back."""
    (inbox / "tag").rmdir()
    inbox.rmdir()
    with pytest.raises(FileNotFoundError):
        put_back(taken, archive)
    assert (taking_folder(archive, 1) / "a.png").read_bytes() == make.png("tag/a.png")
    assert note_of(archive, 1).exists()


def test_putting_back_twice_changes_nothing(taken, archive, hashes):
    put_back(taken, archive)
    once = hashes()
    put_back(taken, archive)
    assert hashes() == once


def test_dropping_removes_folder_and_note(taken, archive):
    drop_taking(archive, 1)
    drop_taking(archive, 1)
    assert file_names(archive) == []


def test_the_longest_name_finds_a_place_beside_other_bytes(drop, pair, archive, inbox):
    """Before: the number made it longer than 255 bytes, and the claim could neither go on nor be undone."""
    name = "n" * 251 + ".png"
    drop(f"tag/{name}")
    (order,) = claim(pair(), archive, 1)
    (inbox / "tag" / name).write_bytes(b"other art")
    put_back(order, archive)
    assert sorted(file_names(inbox / "tag")) == sorted([name, "n" * 247 + " (2).png"])


def test_two_files_of_the_longest_name_lie_in_one_folder():
    """They come from two folders, and belong to one order."""
    name = "n" * 245 + "_front.png"
    files = [SeenFile(path=Path(folder) / name, folder=None, name=name, identity=None) for folder in ("a", "b")]
    names = list(claims._names_in_folder(files, Path("archive")).values())
    assert names == [name, "n" * 245 + "_fro 2.png"]


# -- notes -------------------------------------------------------------------------------------------------------------


def test_a_note_without_members_is_read(taken, archive):
    """Notes of an order that was taken before its files told their members."""
    data = json.loads(note_of(archive, 1).read_bytes())
    for kept in data["files"]:
        del kept["members"]
    note_of(archive, 1).write_text(json.dumps(data))
    assert read_note(note_of(archive, 1)) == taken


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", '{"art": [], "files": []}', '{"art": [1], "files": []}'])
def test_a_note_that_is_none_is_refused(archive, text):
    note_of(archive, 1).write_text(text)
    with pytest.raises((ValueError, KeyError, TypeError)):
        read_note(note_of(archive, 1))


def test_a_note_is_whole_or_as_before(taken, archive, monkeypatch):
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(disk.os, "fsync", full)
    with pytest.raises(OSError, match="full"):
        write_note(archive, taken)
    assert read_note(note_of(archive, 1)) == taken
    assert file_names(archive) == [".taking-1", ".taking-1.json"]
