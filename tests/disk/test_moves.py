"""Moves that are whole or not at all, on one file system and across two."""

import errno
import os
from pathlib import Path

import pytest

from tests.disk.on_disk import LONGEST, kind, tree
from watcher.disk import (
    link_or_copy,
    move_file,
    move_folder,
    read_regular_file,
)
from watcher.disk import moves as disk

# -- files -------------------------------------------------------------------------------------------------------------


def test_a_file_moves_as_it_is(source, there, tmp_path):
    before = source.stat()
    move_file(source, there / "b.png")
    after = (there / "b.png").stat()
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)
    assert not source.exists()


@pytest.mark.parametrize("devices", [1, 2])
@pytest.mark.parametrize("kind", ["file", "folder", "link"])
def test_a_place_that_is_taken_is_left_alone(source, there, devices, kind, request):
    if devices == 2:
        request.getfixturevalue("two_devices")
    target = there / "b.png"
    {"file": target.touch, "folder": target.mkdir, "link": lambda: target.symlink_to("nowhere")}[kind]()
    with pytest.raises(FileExistsError):
        move_file(source, target)
    assert source.exists()
    assert target.is_symlink() == (kind == "link")


def test_across_devices_a_file_moves_with_its_date(source, there, two_devices):
    move_file(source, there / "b.png")
    assert tree(there) == {"b.png": b"art" * 1_000_000}
    assert (there / "b.png").stat().st_mtime_ns == 1_700_000_000_123_456_789
    assert not source.exists()


def test_across_devices_the_longest_name_moves(tmp_path, there, two_devices):
    (tmp_path / LONGEST).write_bytes(b"art")
    move_file(tmp_path / LONGEST, there / LONGEST)
    assert tree(there) == {LONGEST: b"art"}


def test_across_devices_the_source_goes_only_when_the_copy_is_flushed(source, there, two_devices, monkeypatch):
    done = []
    fsync, unlink = os.fsync, Path.unlink
    monkeypatch.setattr(os, "fsync", lambda handle: (done.append(kind(handle)), fsync(handle)))
    monkeypatch.setattr(
        Path, "unlink", lambda self, **how: (done.append("removed") if self == source else None, unlink(self, **how))
    )
    move_file(source, there / "b.png")
    assert done == ["file", "folder", "removed"]


def test_a_file_that_changes_while_it_is_copied_stays(source, there, two_devices, monkeypatch):
    """A writer that has the file open: what was copied is neither the old nor the new."""
    chunks = disk._chunks

    def and_write(stream):
        for chunk in chunks(stream):
            yield chunk
            with source.open("r+b") as again:
                again.write(b"NEW")

    monkeypatch.setattr(disk, "_chunks", and_write)
    with pytest.raises(OSError, match="differs from the original"):
        move_file(source, there / "b.png")
    assert source.read_bytes().startswith(b"NEW")
    assert tree(there) == {}


def test_a_full_disk_leaves_the_source_and_no_part_of_it(source, there, two_devices, monkeypatch):
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="full"):
        move_file(source, there / "b.png")
    assert source.exists()
    assert tree(there) == {}


def test_another_trouble_than_two_devices_is_no_reason_to_copy(source, tmp_path):
    with pytest.raises(FileNotFoundError):
        move_file(source, tmp_path / "nowhere" / "b.png")
    assert source.exists()


# -- folders -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "order").mkdir()
    for name in ("a.png", "b.png"):
        (tmp_path / "order" / name).write_bytes(name.encode())
    return tmp_path / "order"


@pytest.mark.parametrize("devices", [1, 2])
def test_a_folder_moves_whole(folder, there, devices, request):
    if devices == 2:
        request.getfixturevalue("two_devices")
    move_folder(folder, there / "new")
    assert tree(there) == {"new/a.png": b"a.png", "new/b.png": b"b.png"}
    assert sorted(path.name for path in there.parent.iterdir()) == ["there"]


@pytest.mark.parametrize("devices", [1, 2])
def test_a_folder_never_replaces_an_empty_one(folder, there, devices, request):
    """rename(2) by itself would."""
    if devices == 2:
        request.getfixturevalue("two_devices")
    (there / "new").mkdir()
    with pytest.raises(FileExistsError):
        move_folder(folder, there / "new")
    assert len(tree(folder)) == 2


def test_nobody_sees_a_folder_in_part_under_its_name(folder, there, two_devices, monkeypatch):
    copy, seen = disk._copy_over, []
    monkeypatch.setattr(
        disk, "_copy_over", lambda source, target: (seen.append((there / "new").exists()), copy(source, target))
    )
    move_folder(folder, there / "new")
    assert seen == [False, False]


def test_across_devices_the_source_folder_goes_only_when_the_new_name_is_flushed(
    folder, there, two_devices, monkeypatch
):
    done = []
    sync = disk.sync_folder
    monkeypatch.setattr(disk, "sync_folder", lambda path: (done.append((path, folder.exists())), sync(path)))
    move_folder(folder, there / "new")
    assert (there, True) in done
    assert done[-2:] == [(there, False), (folder.parent, False)]


def test_across_devices_a_folder_that_cannot_be_copied_stays_whole(folder, there, two_devices):
    """A person may have put a folder into a held one."""
    (folder / "z").mkdir()
    (folder / "z" / "deep.png").write_bytes(b"deep")
    with pytest.raises(IsADirectoryError):
        move_folder(folder, there / "new")
    assert len(tree(folder)) == 3
    assert list(there.iterdir()) == []


def test_across_devices_what_an_earlier_try_left_is_replaced(folder, there, two_devices):
    (there / ".new.part").mkdir()
    (there / ".new.part" / "old.png").write_bytes(b"old")
    move_folder(folder, there / "new")
    assert sorted(tree(there)) == ["new/a.png", "new/b.png"]


# -- second names ------------------------------------------------------------------------------------------------------


def test_a_second_name_is_a_hard_link(source, there):
    link_or_copy(source, there / "b.png")
    assert (there / "b.png").stat().st_ino == source.stat().st_ino


def test_without_hard_links_it_is_a_copy(source, there, monkeypatch):
    def cannot(*_: object) -> None:
        raise OSError(errno.EPERM, "no")

    monkeypatch.setattr(os, "link", cannot)
    link_or_copy(source, there / "b.png")
    assert (there / "b.png").read_bytes() == source.read_bytes()
    assert (there / "b.png").stat().st_ino != source.stat().st_ino


def test_the_longest_names_move_to_another_device_by_a_temporary_name_of_few_bytes(tmp_path, there, two_devices):
    """Some file systems take 143 bytes (eCryptfs): what is not the art's own name stays below that."""
    seen = []
    replace = Path.replace
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "replace", lambda self, target: (seen.append(self.name), replace(self, target))[1])
        (tmp_path / LONGEST).write_bytes(b"art")
        move_file(tmp_path / LONGEST, there / LONGEST)
    assert [len(os.fsencode(name)) <= 143 for name in seen] == [True]
    assert (there / LONGEST).read_bytes() == b"art"


def test_a_plain_file_is_read_up_to_a_length(tmp_path):
    (tmp_path / "a").write_bytes(b"12345")
    data, status = read_regular_file(tmp_path / "a", 3)
    assert (data, status.st_size) == (b"123", 5)


@pytest.mark.parametrize("what", ["nothing", "folder", "link", "pipe"])
def test_what_is_no_plain_file_is_not_read_nor_waited_for(tmp_path, what):
    (tmp_path / "secret").write_bytes(b"x")
    make = {"nothing": lambda _: None, "folder": Path.mkdir, "pipe": os.mkfifo}
    make.get(what, lambda path: path.symlink_to(tmp_path / "secret"))(tmp_path / "a")
    assert read_regular_file(tmp_path / "a", 10) is None
