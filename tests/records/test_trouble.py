"""What stands in the way, in words for a shop owner; and folders that are not there."""

import errno
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.disk import FileInUse
from watcher.records.journal import JournalTrouble
from watcher.records.trouble import FolderGone, WorkerTrouble, is_for_want_of_room, is_of_the_disk, say_trouble
from watcher.service.roots import Roots
from watcher.settings.load import load_settings


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
        (errno.EROFS, "writing is not allowed in {}. Give the program the right to write there, or unlock the disk"),
        (errno.EACCES, "writing is not allowed in {}. Give the program the right to write there, or unlock the disk"),
        (errno.EIO, "the disk does not do its work in {}: Input/output error. Look at the drive or the network"),
    ],
)
def test_it_says_what_it_is_and_in_which_folder(tmp_path: Path, number: int, words: str) -> None:
    assert say_trouble(_error(number, tmp_path / "outbox/.making-7/a_sheets.pdf")) == words.format(tmp_path / "outbox")
    assert say_trouble(_error(number, tmp_path / "outbox/log.txt")) == words.format(tmp_path / "outbox")


@pytest.mark.parametrize(
    ("places", "shown", "folder"),
    [
        (("inbox/lantern_front.png", "archive/.taking-1/lantern_front.png"), "lantern_front.png", "inbox"),
        (("archive/.taking-1", "archive/lantern"), "lantern", "archive"),
        (("archive/.taking-1/lantern_back.png",), "lantern_back.png", "archive"),
        (("outbox/.status.html.part", "outbox/status.html"), "status.html", "outbox"),
        (("archive/.lantern.gone",), "a file", "archive"),
    ],
)
def test_a_file_that_another_program_has_open_is_named(tmp_path: Path, places, shown: str, folder: str) -> None:
    error = _error(errno.EACCES, *(tmp_path / place for place in places))
    said = say_trouble(FileInUse(*error.args[:2], error.filename, None, error.filename2))
    assert said.startswith(f"{shown} in {tmp_path / folder} cannot be moved or removed: another program has it open")


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


def _as_nobody(say: Callable[[], str]) -> str:
    """What is said by a process that may not do everything; the superuser may."""
    if os.geteuid() != 0:
        return say()
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.setresuid(65534, 65534, 65534)
        os.write(write, say().encode())
        os._exit(0)
    os.close(write)
    with os.fdopen(read, "rb") as told:
        said = told.read().decode()
    os.waitpid(child, 0)
    return said


@pytest.fixture
def shop():
    """A print folder that everybody may reach."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        for part in ("inbox", "outbox", "archive"):
            (folder / part).mkdir(mode=0o777)
            (folder / part).chmod(0o777)
        yield folder


@pytest.mark.skipif(not hasattr(os, "fork"), reason="rights as POSIX has them")
@pytest.mark.parametrize(
    ("part", "mode", "named", "said"),
    [
        ("inbox", 0o333, "inbox", "reading the folder {} is not allowed"),
        ("inbox", 0o666, "inbox/a.png", "opening the folder {} is not allowed"),
        ("inbox", 0o555, "inbox/a.png", "writing is not allowed in {}. "),
        ("outbox", 0o555, "outbox/lantern", "writing is not allowed in {}. "),
        ("archive", 0o555, "archive/.making-3/a_sheets.pdf", "writing is not allowed in {}. "),
    ],
)
def test_the_folder_and_the_right_that_is_missing_are_named(
    shop: Path, part: str, mode: int, named: str, said: str
) -> None:
    """Before: the folder above it, and always writing."""
    (shop / part).chmod(mode)
    try:
        told = _as_nobody(lambda: say_trouble(_error(errno.EACCES, shop / named)))
    finally:
        (shop / part).chmod(0o777)
    assert told.startswith(said.format(shop / part))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="rights as POSIX has them")
def test_a_file_that_may_not_be_read_is_named(shop: Path) -> None:
    (shop / "inbox/a.png").touch(mode=0)
    told = _as_nobody(lambda: say_trouble(_error(errno.EACCES, shop / "inbox/a.png")))
    assert told == f"reading {shop / 'inbox/a.png'} is not allowed. Give the program the right to read it"


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
