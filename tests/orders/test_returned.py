"""Held orders that may be tried again: whole or in part, accepted, replaced, or joined by newer files."""

from pathlib import Path

import pytest

from watcher.inbox.found import Found
from watcher.inbox.names import read_name
from watcher.inbox.scan import Identity, SeenFile
from watcher.orders.held_note import FILE_NAME, HeldFile, HeldNote, to_toml
from watcher.orders.returned import Fresh, ReturnedFolder, held_folders, how_used, is_replaced
from watcher.settings.names import NameSettings
from watcher.terms import EarlierUse, HeldFor

WORDS = NameSettings()


def seen(name: str) -> SeenFile:
    identity = Identity(device=1, inode=1, size=1, mtime_ns=0, ctime_ns=0)
    return SeenFile(path=Path("inbox") / name, folder=None, name=name, identity=identity)


def found(name: str) -> Found:
    return Found(file=seen(name), parts=read_name(name, WORDS))


def held(*names: str, there: tuple[str, ...] | None = None, accepted: bool = False, **note) -> ReturnedFolder:
    """A held order of these files, of which those in `there` still lie in its folder."""
    facts = {"order": "a", "key": "a", "card": "", "inbox_folder": "", "folder": "a", "missing": "", "soft": True}
    files = tuple(HeldFile(name=name, sha256="0" * 64) for name in names)
    whole = HeldNote(**facts | {"since": "2026-05-01T10:11:12+02:00", "why": "Look.", "files": files} | note)
    lying = tuple(seen(name) for name in (names if there is None else there))
    return ReturnedFolder(path=Path("held/a"), note=whole, files=lying, accepted=accepted)


@pytest.mark.parametrize(("came_from", "folder"), [("menu", "menu"), ("", None)])
def test_files_of_a_held_order_count_for_the_card_whose_folder_they_came_from(tmp_path, came_from, folder):
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / FILE_NAME).write_bytes(to_toml(held("a_front.png", inbox_folder=came_from).note))
    (tmp_path / "a" / "a_front.png").write_bytes(b"front")
    (found_folder,) = held_folders(tmp_path)
    assert [(file.name, file.folder) for file in found_folder.files] == [("a_front.png", folder)]


def test_files_are_counted_not_named():
    """The person may have given a file the name it should have had."""
    assert held("a_front.png", there=("a_back.png",)).is_whole
    assert not held("a_front.png", "a_back.png", there=("a_back.png",)).is_whole


def test_a_missing_file_for_which_a_newer_one_has_come_is_not_missing():
    folder = held("a_front.png", "a_back.png", there=("a_back.png",))
    assert folder.is_whole_with([found("a_front.jpg")], WORDS)
    assert not folder.is_whole_with([found("b_front.jpg")], WORDS)


@pytest.mark.parametrize(
    ("needs", "accepts", "overrules"),
    [(HeldFor.ART, True, False), (HeldFor.YES, True, False), (HeldFor.FAULT, False, True)],
)
def test_ok_accepts_the_art_or_overrules_the_check(needs, accepts, overrules):
    folder = held("a_front.png", accepted=True, needs=needs)
    assert (folder.accepts_findings, folder.overrules_check) == (accepts, overrules)


def test_a_lone_half_awaits_its_art_and_no_ticket():
    half = held("a_front.png", missing="back")
    assert how_used(half, [found("a_back.png")]) is EarlierUse.AWAITED
    assert how_used(half, [found("a.toml")]) is None
    assert how_used(half, []) is None


def test_a_held_pair_is_mended_by_newer_art_unless_it_was_replaced_before():
    assert how_used(held("a_front.png", "a_back.png"), [found("a_back.png")]) is EarlierUse.MENDED
    assert how_used(held("a_front.png", "a_back.png", replaced=True), [found("a_back.png")]) is None


@pytest.mark.parametrize(
    ("newer", "replaced"),
    [("a_front.jpg", True), ("a.pdf", True), ("a_back.png", False), ("a.toml", False), ("b_front.png", False)],
)
def test_a_file_is_replaced_by_one_of_its_side_or_by_a_whole_document(newer, replaced):
    assert is_replaced(held("a_front.png"), [read_name(newer, WORDS)], WORDS) is replaced


def test_files_are_found_by_the_name_of_the_order():
    there = [found("a_front.png"), found("b_front.png")]
    assert [one.file.name for one in Fresh(there, WORDS).of(held("a_back.png"))] == ["a_front.png"]
