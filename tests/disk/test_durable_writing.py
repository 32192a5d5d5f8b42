"""Hashes, and content that is written whole or not at all."""

import errno
import hashlib
import os
from pathlib import Path

import pytest

from tests.disk.on_disk import LONGEST, kind, tree
from watcher.disk import (
    sha256_of,
    sync_folder,
    write_durably,
)

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
        assert tree(tmp_path) == {"note": data}


def test_content_is_flushed_before_the_name_and_the_name_after(tmp_path, monkeypatch):
    """Else a cut of the power could leave the name with nothing behind it."""
    done = []
    fsync, replace = os.fsync, Path.replace
    monkeypatch.setattr(os, "fsync", lambda handle: (done.append(kind(handle)), fsync(handle)))
    monkeypatch.setattr(Path, "replace", lambda self, to: (done.append("renamed"), replace(self, to))[1])
    write_durably(tmp_path / "note", b"one")
    assert done == ["file", "renamed", "folder"]


def test_a_full_disk_leaves_the_old_content_and_nothing_else(tmp_path, monkeypatch):
    write_durably(tmp_path / "note", b"one")

    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="full"):
        write_durably(tmp_path / "note", b"two")
    assert tree(tmp_path) == {"note": b"one"}


def test_what_an_earlier_try_left_is_no_obstacle(tmp_path):
    (tmp_path / ".note.part").mkdir()
    (tmp_path / ".note.part" / "x").write_bytes(b"x")
    write_durably(tmp_path / "note", b"one")
    assert tree(tmp_path) == {"note": b"one"}


def test_the_longest_name_can_be_written(tmp_path):
    assert len(LONGEST.encode()) == 254
    write_durably(tmp_path / LONGEST, b"one")
    assert tree(tmp_path) == {LONGEST: b"one"}


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
