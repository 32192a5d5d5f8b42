"""Folders that are orders, on their way into the claim and after it."""

import errno
from pathlib import Path

import pytest

from watcher.orders.claim import FileChanged
from watcher.orders.folders import AGAIN_TICKET
from watcher.orders.held_note import FILE_NAME, HeldFile, HeldNote, to_toml
from watcher.orders.take_folder import refuse_changed_folders, remove_emptied, with_ticket_written


@pytest.fixture
def again(inbox, gather_now):
    (inbox / "again menu x4").mkdir()
    return gather_now().plans[0]


def test_the_ticket_that_a_folders_name_says_is_written_into_it(again, inbox):
    plan = with_ticket_written(again)
    (file,) = plan.files
    assert file.path == inbox / "again menu x4" / AGAIN_TICKET
    assert file.path.read_text() == 'repeat = "menu"\n'


def test_cut_short_behind_that_it_asks_for_the_same(again, gather_now):
    with_ticket_written(again)
    (plan,) = gather_now().plans
    assert (plan.repeat, plan.wishes.quantity) == (again.repeat, 4)


def test_a_folder_into_which_something_came_meanwhile_waits(again, inbox):
    (inbox / "again menu x4" / "front.png").write_bytes(b"art")
    with pytest.raises(FileChanged):
        with_ticket_written(again)


def test_a_file_that_comes_late_keeps_its_folder_from_being_taken_in_part(drop, gather_now):
    drop("dinner/front.png", "dinner/back.png")
    (plan,) = gather_now().plans
    refuse_changed_folders((plan,))
    drop("dinner/job.toml")
    with pytest.raises(FileChanged):
        refuse_changed_folders((plan,))


def test_a_held_repeat_that_comes_back_under_the_right_name_is_taken_with_our_own_files_in_it(inbox, gather_now):
    folder = inbox / "again menu"
    folder.mkdir()
    (folder / AGAIN_TICKET).write_text('repeat = "mneu"')
    (folder / "why.txt").write_text("There is no order mneu in the archive.")
    note = HeldNote(
        order="mneu", key="mneu", card="", inbox_folder="", folder="mneu", missing="", soft=False,
        since="2026-11-25T14:05:00+01:00", why="There is no such order.",
        files=(HeldFile(name=AGAIN_TICKET, sha256=""),), came_in="again mneu",
    )  # fmt: skip
    (folder / FILE_NAME).write_bytes(to_toml(note))
    (plan,) = gather_now().plans
    refuse_changed_folders((plan,))
    assert plan.repeat is not None
    assert plan.repeat.order == "menu"


def test_what_a_file_manager_left_goes_with_the_empty_folder(tmp_path):
    (tmp_path / "menu").mkdir()
    for name in (".DS_Store", "Thumbs.db", "._front.png"):
        (tmp_path / "menu" / name).write_bytes(b"")
    remove_emptied(tmp_path / "menu")
    assert not (tmp_path / "menu").exists()
    remove_emptied(tmp_path / "menu")


@pytest.mark.parametrize("name", ["late.png", ".secret", "notes.txt"])
def test_a_persons_file_keeps_its_folder(tmp_path, name):
    (tmp_path / "menu").mkdir()
    (tmp_path / "menu" / name).write_bytes(b"")
    remove_emptied(tmp_path / "menu")
    assert (tmp_path / "menu" / name).exists()


def test_what_comes_in_the_last_moment_is_no_trouble(tmp_path, monkeypatch):
    (tmp_path / "menu").mkdir()

    def full(_folder: Path) -> None:
        raise OSError(errno.ENOTEMPTY, "Directory not empty")

    monkeypatch.setattr(Path, "rmdir", full)
    remove_emptied(tmp_path / "menu")
