"""A claim that meets a changed file or a full disk puts everything back."""

import errno
import os
from pathlib import Path

import pytest

from tests.orders.an_order import file_names
from watcher.orders import claim as claims
from watcher.orders.claim import FileChanged, claim
from watcher.orders.pairing import bundles

# -- changed meanwhile -------------------------------------------------------------------------------------------------


def test_a_file_that_changed_since_the_look_stays(drop, pair, archive, hashes):
    _, back = drop("a_front.png", "a_back.png")
    plans = pair()
    back.write_bytes(b"another back")
    before = hashes()
    with pytest.raises(FileChanged, match=r"a_back\.png"):
        claim(plans, archive, 1)
    assert hashes() == before
    assert file_names(archive) == []


def test_a_file_that_was_replaced_by_one_of_the_same_date_and_size_stays(drop, pair, archive, hashes):
    (front,) = drop("a_front.png")
    plans = pair()
    status = front.stat()
    other = front.with_name("other")
    other.write_bytes(bytes(status.st_size))
    os.utime(other, ns=(status.st_atime_ns, status.st_mtime_ns))
    other.replace(front)
    before = hashes()
    with pytest.raises(FileChanged):
        claim(plans, archive, 1)
    assert hashes() == before


def test_a_file_that_is_gone_puts_the_other_back(drop, pair, archive, hashes):
    _, back = drop("a_front.png", "a_back.png")
    plans = pair()
    back.unlink()
    before = hashes()
    with pytest.raises(FileChanged):
        claim(plans, archive, 1)
    assert hashes() == before


def test_a_file_that_goes_between_look_and_move_puts_the_other_back(drop, pair, archive, hashes, monkeypatch):
    _, back = drop("a_front.png", "a_back.png")
    plans, move = pair(), claims.move_file

    def gone(source: Path, target: Path) -> None:
        if source == back:
            back.unlink()
        move(source, target)

    monkeypatch.setattr(claims, "move_file", gone)
    with pytest.raises(FileChanged):
        claim(plans, archive, 1)
    assert list(hashes()) == ["inbox/a_front.png"]


def test_a_file_written_to_while_it_is_read_goes_back_as_it_is_now(drop, pair, archive, inbox, monkeypatch):
    """A program that holds the file open goes on writing after the rename."""
    drop("a_front.png", "a_back.png")
    plans, digest = pair(), claims.sha256_of

    def and_write(path: Path) -> str:
        result = digest(path)
        with path.open("ab") as stream:
            stream.write(b"more")
        return result

    monkeypatch.setattr(claims, "sha256_of", and_write)
    with pytest.raises(FileChanged):
        claim(plans, archive, 1)
    assert file_names(inbox) == ["a_back.png", "a_front.png"]
    assert (inbox / "a_front.png").read_bytes().endswith(b"more")


def test_a_link_in_a_files_place_is_not_followed(drop, pair, archive, inbox, tmp_path, monkeypatch):
    (front,) = drop("a_front.png")
    (tmp_path / "secret").write_bytes(b"not yours")
    plans, move = pair(), claims.move_file

    def swap(source: Path, target: Path) -> None:
        source.unlink()
        source.symlink_to(tmp_path / "secret")
        move(source, target)

    monkeypatch.setattr(claims, "move_file", swap)
    with pytest.raises(OSError, match="symbolic link"):
        claim(plans, archive, 1)
    assert front.is_symlink()
    assert file_names(archive) == []


# -- trouble with the disk ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("step", ["write_note", "move_file", "sha256_of", "sync_folder", "link_or_copy"])
@pytest.mark.parametrize("nth", [1, 2, 3, 4])
def test_a_full_disk_at_any_step_puts_everything_back(step, nth, drop, pair, archive, hashes, make, monkeypatch):
    drop("a_back (1).png", **{"week.zip": make.packed({"a_front.png": b"1", "b_front.png": b"2"})})
    (bundle,) = bundles(pair())
    before, real, calls = hashes(), getattr(claims, step), []

    def full(*arguments: object) -> object:
        calls.append(arguments)
        if len(calls) == nth:
            raise OSError(errno.ENOSPC, "full")
        return real(*arguments)

    monkeypatch.setattr(claims, step, full)
    try:
        claim(bundle, archive, 1)
    except OSError:
        assert hashes() == before
        assert file_names(archive) == []
    else:
        assert len(calls) < nth  # the step is not taken so often


def test_a_full_disk_at_the_last_note_puts_everything_back(drop, pair, archive, hashes, monkeypatch):
    drop("a_front.png", "a_back.png")
    before, real, calls = hashes(), claims.write_durably, []

    def full(path: Path, data: bytes) -> None:
        calls.append(path)
        if len(calls) == 2:
            raise OSError(errno.ENOSPC, "full")
        real(path, data)

    monkeypatch.setattr(claims, "write_durably", full)
    with pytest.raises(OSError, match="full"):
        claim(pair(), archive, 1)
    assert hashes() == before
    assert file_names(archive) == []


def test_no_note_stays_when_the_folder_cannot_be_made(drop, pair, archive, hashes, monkeypatch):
    drop("a_front.png")
    plans, before = pair(), hashes()

    def full(self: Path, *_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(Path, "mkdir", full)
    with pytest.raises(OSError, match="full"):
        claim(plans, archive, 1)
    assert hashes() == before
