"""What stands in the way, in words for a shop owner; and folders that are not there."""

import errno
import os
from pathlib import Path

import pytest

from watcher.records.journal import JournalTrouble
from watcher.settings.load import load_settings
from watcher.trouble import FolderGone, Roots, WorkerTrouble, is_for_want_of_room, is_of_the_disk, say_trouble


def _error(number: int, *places: Path) -> OSError:
    names = [str(place) for place in places]
    if len(names) == 2:
        return OSError(number, os.strerror(number), names[0], None, names[1])
    return OSError(number, os.strerror(number), *names)


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full: nothing more can be written in {}. Make room there"),
        (errno.EDQUOT, "the disk is full: nothing more can be written in {}. Make room there"),
        (errno.EROFS, "writing is not allowed in {}. Give the service the right to write there, or unlock the disk"),
        (errno.EACCES, "writing is not allowed in {}. Give the service the right to write there, or unlock the disk"),
        (errno.EIO, "the disk does not do its work in {}: Input/output error. Look at the drive or the network"),
    ],
)
def test_it_says_what_it_is_and_in_which_folder(tmp_path: Path, number: int, words: str) -> None:
    assert say_trouble(_error(number, tmp_path / "outbox/.making-7/a_sheets.pdf")) == words.format(tmp_path / "outbox")
    assert say_trouble(_error(number, tmp_path / "outbox/log.txt")) == words.format(tmp_path / "outbox")


@pytest.mark.parametrize("name", [".taking-12", ".making-3", ".lantern.part", ".lantern.gone"])
def test_folders_of_ours_on_their_way_are_no_place_for_people(tmp_path: Path, name: str) -> None:
    said = say_trouble(_error(errno.ENOSPC, tmp_path / ".my shop" / name / "a.png"))
    assert f" {tmp_path / '.my shop'}." in said


def test_of_two_places_the_one_that_is_missing_is_named(tmp_path: Path) -> None:
    (tmp_path / "archive").mkdir()
    error = _error(errno.ENOENT, tmp_path / "archive/.taking-1", tmp_path / "held/lantern")
    assert say_trouble(error) == f"{tmp_path / 'held'} is missing. Put it back, or connect its drive"


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may write everywhere")
def test_of_two_places_the_one_that_may_not_be_written_to_is_named(tmp_path: Path) -> None:
    (tmp_path / "archive").mkdir()
    (tmp_path / "inbox").mkdir(mode=0o500)
    error = _error(errno.EACCES, tmp_path / "inbox/a.png", tmp_path / "archive/a.png")
    assert f"in {tmp_path / 'inbox'}." in say_trouble(error)


def test_names_cannot_forge_a_line(tmp_path: Path) -> None:
    assert "\n" not in say_trouble(_error(errno.EIO, tmp_path / "a\nb/c"))
    assert "\n" not in say_trouble(WorkerTrouble("a\nb"))


def test_what_is_already_said_in_plain_words_stays_as_it_is() -> None:
    for kind in (JournalTrouble, WorkerTrouble, FolderGone):
        assert say_trouble(kind("the journal cannot be written")) == "the journal cannot be written"


def test_what_a_name_or_a_content_brings_about_is_no_trouble_with_the_disk(tmp_path: Path) -> None:
    """Else one file would make everything wait for ever."""
    for number in (errno.ENAMETOOLONG, errno.EFBIG, errno.EINVAL):
        assert not is_of_the_disk(_error(number, tmp_path))
    assert not is_of_the_disk(OSError("a library says so"))
    for error in (_error(errno.ENOSPC), _error(errno.ENOENT, tmp_path), JournalTrouble("x"), FolderGone("y")):
        assert is_of_the_disk(error)


def test_want_of_room_is_told_from_other_trouble(tmp_path: Path) -> None:
    assert is_for_want_of_room(_error(errno.ENOSPC))
    assert is_for_want_of_room(JournalTrouble("database or disk is full"))
    assert not is_for_want_of_room(_error(errno.EROFS, tmp_path))


def test_the_folder_that_is_missing_is_named(print_folder: Path) -> None:
    folders = load_settings(print_folder / "settings.toml").folders
    for name in ("outbox", "held", "archive", "state"):
        (print_folder / name).mkdir()
    roots = Roots(folders)
    roots.check()
    (print_folder / "held").rmdir()
    with pytest.raises(FolderGone, match="the folder held is missing"):
        roots.check()
    assert not roots.are_there()
    assert roots.has_outbox()
