"""Delivery: archive first, then outbox, each by one rename, and the same whatever a crash cuts short."""

import os
import shutil
import stat
from pathlib import Path

import pytest

from tests.killed_copy import is_killed_at
from watcher.archive.ticket_file import LARGEST_TICKET
from watcher.orders.claim import note_of, taking_folder
from watcher.orders.recover import forget_note
from watcher.outbox import publish
from watcher.outbox.product import building_folder, write_product
from watcher.outbox.publish import NameTaken, deliver, is_taken, point_to_newer, still_there

PRODUCT = {"spring_sheets.pdf": b"%PDF", "spring_preview.png": b"PNG", "spring_ticket.toml": b'order = "spring"\n'}
DELIVERED = {
    "archive/spring/spring_back.png": b"back",
    "archive/spring/spring_front.png": b"front",
    "archive/spring/spring_ticket.toml": b'order = "spring"\n',
    "outbox/spring/spring_preview.png": b"PNG",
    "outbox/spring/spring_sheets.pdf": b"%PDF",
    "outbox/spring/spring_ticket.toml": b'order = "spring"\n',
}


@pytest.fixture
def make_it(take, folders):
    """An order that is finished aside."""

    def make() -> None:
        take(name="spring", number=3)
        write_product(building_folder(folders / "archive", 3), PRODUCT)

    return make


@pytest.fixture
def deliver_it(folders):
    def deliver_and_forget(name: str = "spring") -> None:
        deliver(3, name, archive=folders / "archive", outbox=folders / "outbox")
        forget_note(folders / "archive", 3)

    return deliver_and_forget


# -- the product, built aside ------------------------------------------------------------------------------------------


def test_it_is_built_hidden_where_nobody_collects(folders):
    folder = building_folder(folders / "archive", 3)
    assert folder.parent == folders / "archive"
    assert folder.name.startswith(".")


def test_a_ticket_without_end_is_not_read_to_its_end(make_it, deliver_it, folders):
    """A worker that a file has taken over may write one of 2 GB that takes no room on the disk."""
    make_it()
    with (building_folder(folders / "archive", 3) / "spring_ticket.toml").open("r+b") as stream:
        stream.truncate(LARGEST_TICKET + 1)
    deliver_it()
    assert (folders / "archive/spring/spring_ticket.toml").stat().st_size == LARGEST_TICKET


def test_what_an_earlier_try_left_is_removed_first(folders):
    folder = building_folder(folders / "archive", 3)
    write_product(folder, {"old_sheets.pdf": b"old"})
    write_product(folder, PRODUCT)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == PRODUCT


def test_every_file_is_flushed_before_the_folder(folders, monkeypatch):
    """Else a cut of the power could leave a folder with its final name and empty files."""
    flushed = []
    monkeypatch.setattr(os, "fsync", lambda handle: flushed.append(stat.S_ISDIR(os.fstat(handle).st_mode)))
    write_product(building_folder(folders / "archive", 3), PRODUCT)
    assert flushed == [False, False, False, True]


# -- delivery ----------------------------------------------------------------------------------------------------------


def test_art_and_ticket_go_to_the_archive_and_the_product_to_the_outbox(make_it, deliver_it, contents):
    make_it()
    deliver_it()
    assert contents() == DELIVERED


def test_the_archive_comes_first(make_it, deliver_it, monkeypatch, folders):
    """From then on the order can be made again, whatever happens to the rest."""
    make_it()
    moved, move = [], publish.move_folder
    monkeypatch.setattr(publish, "move_folder", lambda source, target: (moved.append(target), move(source, target)))
    deliver_it()
    assert moved == [folders / "archive" / "spring", folders / "outbox" / "spring"]


def test_delivering_twice_changes_nothing(make_it, deliver_it, contents):
    make_it()
    deliver_it()
    deliver_it()
    assert contents() == DELIVERED


@pytest.mark.parametrize("name", ["archive", "outbox"])
def test_a_name_that_was_taken_meanwhile_moves_nothing(make_it, deliver_it, contents, folders, name):
    make_it()
    (folders / name / "spring").mkdir()
    before = contents()
    with pytest.raises(NameTaken):
        deliver_it()
    assert contents() == before
    deliver_it_as_second(folders)


def deliver_it_as_second(folders: Path) -> None:
    write_product(building_folder(folders / "archive", 3), {"spring-2_ticket.toml": b""})
    deliver(3, "spring-2", archive=folders / "archive", outbox=folders / "outbox")
    assert (folders / "archive" / "spring-2" / "spring-2_ticket.toml").exists()


def test_notes_of_a_holding_cut_short_do_not_reach_the_archive(make_it, deliver_it, contents, folders):
    make_it()
    for name in ("why.txt", "held.toml"):
        (taking_folder(folders / "archive", 3) / name).write_text("left over")
    deliver_it()
    assert contents() == DELIVERED


def test_killed_at_any_step_it_ends_the_same(make_it, deliver_it, contents, folders):
    for step in range(1, 60):
        make_it()
        died = is_killed_at(step, deliver_it)
        _nothing_half(folders)
        deliver_it()
        assert contents() == DELIVERED, f"after a death before step {step}"
        if not died:
            assert step > 5
            return
        for name in ("archive", "outbox"):
            shutil.rmtree(folders / name / "spring")
    raise AssertionError("it never came to its end")


def _nothing_half(folders: Path) -> None:
    archived, delivered = folders / "archive" / "spring", folders / "outbox" / "spring"
    assert len(list(archived.iterdir())) == 3 if archived.exists() else not delivered.exists()
    assert len(list(delivered.iterdir())) == 3 if delivered.exists() else True


def test_without_its_product_nothing_is_archived(take, deliver_it, contents, folders):
    take(name="spring", number=3)
    before = contents()
    with pytest.raises(FileNotFoundError):
        deliver_it()
    assert contents() == before
    assert note_of(folders / "archive", 3).exists()


# -- what lies in the outbox -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("suffix", ["_sheets.pdf", "_1-fronts.pdf", "_2-backs.pdf", "_layout-2_sheets.pdf"])
def test_sheets_lie_there_until_they_are_collected(folders, suffix):
    outbox = folders / "outbox"
    write_product(outbox / "spring", {f"spring{suffix}": b"", "spring_ticket.toml": b"", "spring_preview.png": b""})
    assert still_there(outbox, "spring")
    (outbox / "spring" / f"spring{suffix}").unlink()
    assert not still_there(outbox, "spring")


def test_the_sheets_of_several_layouts_come_in_the_order_in_which_they_are_printed(folders):
    names = [f"run_layout-{layout}_{side}.pdf" for layout in (1, 2, 10) for side in ("1-fronts", "2-backs")]
    files = [*reversed(names), "run_instructions.pdf", "other_sheets.pdf"]
    write_product(folders / "outbox/run", dict.fromkeys(files, b""))
    assert [file.name for file in publish.sheet_files(folders / "outbox", "run")] == names


def test_an_order_that_was_taken_away_is_collected(folders):
    assert not still_there(folders / "outbox", "spring")


def test_a_name_is_taken_by_anything_of_that_name(folders):
    (folders / "archive" / "spring").symlink_to("nowhere")
    assert is_taken("spring", [folders / "outbox", folders / "archive"])
    assert not is_taken("spring", [folders / "outbox"])


def test_an_earlier_order_gets_a_note_of_the_newer(folders):
    (folders / "outbox" / "spring").mkdir()
    point_to_newer(folders / "outbox", "spring", "spring-2")
    point_to_newer(folders / "outbox", "spring", "spring-2")
    (note,) = (folders / "outbox" / "spring").iterdir()
    assert note.name == "NEWER ART IN spring-2.txt"
    assert note.read_text() == (
        "Other art came in under the same name after these sheets were made.\nIts sheets are in the folder spring-2.\n"
    )


def test_the_longest_name_has_room_for_that_note(folders):
    """180 bytes of name, `-2`, 255 bytes a file name (`inbox.tidy`)."""
    name = "é" * 90
    (folders / "outbox" / name).mkdir()
    point_to_newer(folders / "outbox", name, f"{name}-2")
    assert len(list((folders / "outbox" / name).iterdir())) == 1
