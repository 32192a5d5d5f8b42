"""Moves that are whole or not at all, on one file system and across two."""

import errno
import hashlib
import os
import stat
from pathlib import Path

import pytest

from watcher.disk import (
    link_or_copy,
    move_file,
    move_folder,
    read_regular_file,
    sha256_of,
    sync_folder,
    write_durably,
)
from watcher.disk import moves as disk

LONGEST = "é" * 100 + "春" * 18  # 254 bytes of UTF-8; file systems take 255


def _tree(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def there(tmp_path: Path) -> Path:
    """Another folder."""
    (tmp_path / "there").mkdir()
    return tmp_path / "there"


@pytest.fixture
def source(tmp_path: Path) -> Path:
    (tmp_path / "a.png").write_bytes(b"art" * 1_000_000)
    os.utime(tmp_path / "a.png", ns=(1, 1_700_000_000_123_456_789))
    return tmp_path / "a.png"


# -- hashes, durable writing -------------------------------------------------------------------------------------------


def test_a_hash_is_that_of_all_bytes(source):
    assert sha256_of(source) == hashlib.sha256(b"art" * 1_000_000).hexdigest()


def test_the_hash_of_nothing_is_the_published_one(tmp_path):
    """FIPS 180-4 with the empty message, as every implementation publishes it."""
    (tmp_path / "empty").touch()
    assert sha256_of(tmp_path / "empty") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"


def test_a_link_is_not_followed(source, tmp_path):
    (tmp_path / "link").symlink_to(source)
    with pytest.raises(OSError, match="symbolic link"):
        sha256_of(tmp_path / "link")


def test_a_file_is_written_and_replaced_whole(tmp_path):
    for data in (b"one", b"two"):
        write_durably(tmp_path / "note", data)
        assert _tree(tmp_path) == {"note": data}


def test_content_is_flushed_before_the_name_and_the_name_after(tmp_path, monkeypatch):
    """Else a cut of the power could leave the name with nothing behind it."""
    done = []
    fsync, replace = os.fsync, Path.replace
    monkeypatch.setattr(os, "fsync", lambda handle: (done.append(_kind(handle)), fsync(handle)))
    monkeypatch.setattr(Path, "replace", lambda self, to: (done.append("renamed"), replace(self, to))[1])
    write_durably(tmp_path / "note", b"one")
    assert done == ["file", "renamed", "folder"]


def _kind(handle: int) -> str:
    return "folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file"


def test_a_full_disk_leaves_the_old_content_and_nothing_else(tmp_path, monkeypatch):
    write_durably(tmp_path / "note", b"one")

    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="full"):
        write_durably(tmp_path / "note", b"two")
    assert _tree(tmp_path) == {"note": b"one"}


def test_what_an_earlier_try_left_is_no_obstacle(tmp_path):
    (tmp_path / ".note.part").mkdir()
    (tmp_path / ".note.part" / "x").write_bytes(b"x")
    write_durably(tmp_path / "note", b"one")
    assert _tree(tmp_path) == {"note": b"one"}


def test_the_longest_name_can_be_written(tmp_path):
    assert len(LONGEST.encode()) == 254
    write_durably(tmp_path / LONGEST, b"one")
    assert _tree(tmp_path) == {LONGEST: b"one"}


@pytest.mark.parametrize("refusal", [errno.EINVAL, errno.ENOTSUP])
def test_a_system_that_cannot_flush_folders_does_without(tmp_path, monkeypatch, refusal):
    def cannot(_handle: int) -> None:
        raise OSError(refusal, "no")

    monkeypatch.setattr(os, "fsync", cannot)
    sync_folder(tmp_path)


def test_a_disk_that_fails_to_flush_is_trouble(tmp_path, monkeypatch):
    def broken(_handle: int) -> None:
        raise OSError(errno.EIO, "broken")

    monkeypatch.setattr(os, "fsync", broken)
    with pytest.raises(OSError, match="broken"):
        sync_folder(tmp_path)


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
    assert _tree(there) == {"b.png": b"art" * 1_000_000}
    assert (there / "b.png").stat().st_mtime_ns == 1_700_000_000_123_456_789
    assert not source.exists()


def test_across_devices_the_longest_name_moves(tmp_path, there, two_devices):
    (tmp_path / LONGEST).write_bytes(b"art")
    move_file(tmp_path / LONGEST, there / LONGEST)
    assert _tree(there) == {LONGEST: b"art"}


def test_across_devices_the_source_goes_only_when_the_copy_is_flushed(source, there, two_devices, monkeypatch):
    done = []
    fsync, unlink = os.fsync, Path.unlink
    monkeypatch.setattr(os, "fsync", lambda handle: (done.append(_kind(handle)), fsync(handle)))
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
    assert _tree(there) == {}


def test_a_full_disk_leaves_the_source_and_no_part_of_it(source, there, two_devices, monkeypatch):
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="full"):
        move_file(source, there / "b.png")
    assert source.exists()
    assert _tree(there) == {}


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
    assert _tree(there) == {"new/a.png": b"a.png", "new/b.png": b"b.png"}
    assert sorted(path.name for path in there.parent.iterdir()) == ["there"]


@pytest.mark.parametrize("devices", [1, 2])
def test_a_folder_never_replaces_an_empty_one(folder, there, devices, request):
    """rename(2) by itself would."""
    if devices == 2:
        request.getfixturevalue("two_devices")
    (there / "new").mkdir()
    with pytest.raises(FileExistsError):
        move_folder(folder, there / "new")
    assert len(_tree(folder)) == 2


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
    assert len(_tree(folder)) == 3
    assert list(there.iterdir()) == []


def test_across_devices_what_an_earlier_try_left_is_replaced(folder, there, two_devices):
    (there / ".new.part").mkdir()
    (there / ".new.part" / "old.png").write_bytes(b"old")
    move_folder(folder, there / "new")
    assert sorted(_tree(there)) == ["new/a.png", "new/b.png"]


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
