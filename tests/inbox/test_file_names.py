"""Names that are no work of a person. The lists: what public ignore lists have in common; no standard."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.inbox.file_names import compare_key, is_conflict_copy, is_temporary, read_extension


@pytest.mark.parametrize(
    "name",
    [
        ".DS_Store", "._menu_front.png", ".~lock.menu.odt#", ".goutputstream-X1Y2", ".fuse_hidden0001", ".nfs0001",
        "~$menu.docx", "~WRL0001.tmp", "menu_front.png.part", "menu_front.png.PARTIAL", "a.filepart", "a.crdownload",
        "a.download", "a.tmp", "menu_front.png~", "Thumbs.db", "DESKTOP.INI", "menu_front.png.icloud", "@eaDir",
        "__MACOSX", "Icon\r",
    ],
)  # fmt: skip
def test_names_of_unfinished_and_system_files_are_temporary(name):
    assert is_temporary(name)


@pytest.mark.parametrize(
    "name", ["menu_front.png", "party-front.pdf", "download_front.png", "icon_front.png", "tmp_front.png", "a~b.png"]
)
def test_names_of_art_are_not(name):
    assert not is_temporary(name)


@pytest.mark.parametrize(
    "name",
    [
        "menu_front (conflicted copy 2026-05-01).png",
        "menu_front (Mia's conflicted copy 2026-05-01).png",
        "menu_front (Case Conflict).png",
        "menu-conflict-20260501-101112.png",
        "menu_front.sync-conflict-20260501-101112-ABCDEFG.png",
    ],
)
def test_copies_that_a_sync_program_made_of_two_versions_are_told(name):
    assert is_conflict_copy(name)


@pytest.mark.parametrize("name", ["menu_front.png", "menu (1).png", "conflict-of-interest_front.png", "conflict.png"])
def test_other_names_are_no_such_copies(name):
    assert not is_conflict_copy(name)


@given(st.text())
def test_case_and_composition_make_no_difference(name):
    """Unicode 3.13, D145, with the interpreter's own upper case and both forms as the outside view."""
    assert compare_key(unicodedata.normalize("NFD", name)) == compare_key(unicodedata.normalize("NFC", name))
    assert compare_key(compare_key(name)) == compare_key(name)
    assert compare_key("RÜCKSEITE") == compare_key("ru\u0308ckseite")


@given(st.text(st.characters(categories=["L", "N", "P", "Z", "Cs"])))
def test_any_text_can_be_asked_about(name):
    assert is_temporary(name) in (True, False)
    assert is_conflict_copy(name) in (True, False)
    assert isinstance(compare_key(name), str)


def test_the_ending_is_told_alone():
    assert [read_extension(name) for name in ("a.PNG", "a.b.tif ", "a", ".toml")] == ["png", "tif", "", "toml"]
