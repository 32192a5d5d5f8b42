"""One look at a real folder."""

import os
import socket
from pathlib import Path

import pytest

from watcher.inbox import scan as scan_module
from watcher.inbox.scan import Identity, scan

CARDS = ("invitation", "Tischkärtchen")


def _names(found):
    return [file.name for file in found.files]


@pytest.fixture
def inbox(tmp_path: Path) -> Path:
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    return inbox


def test_files_at_the_top_have_no_card(inbox):
    (inbox / "menu_front.png").write_bytes(b"art")
    (file,) = scan(inbox, CARDS).files
    assert (file.path, file.folder, file.name) == (inbox / "menu_front.png", None, "menu_front.png")
    assert file.identity == Identity.of(os.lstat(file.path))


@pytest.mark.parametrize("spelt", ["invitation", "Invitation", "INVITATION"])
def test_a_folder_named_like_a_card_in_any_case_is_the_cards(inbox, spelt):
    (inbox / spelt).mkdir()
    (inbox / spelt / "a.png").write_bytes(b"art")
    (file,) = scan(inbox, CARDS).files
    assert (file.folder, file.path) == ("invitation", inbox / spelt / "a.png")


def test_accents_may_be_composed_or_not(inbox):
    apart = "Tischka\u0308rtchen"
    (inbox / apart).mkdir()
    (inbox / apart / "a.png").write_bytes(b"art")
    assert scan(inbox, CARDS).files[0].folder == "Tischk\u00e4rtchen"


def test_a_folder_with_a_held_ticket_is_a_returned_order_even_when_named_like_a_card(inbox):
    (inbox / "invitation").mkdir()
    (inbox / "invitation" / "held.toml").write_text("")
    (inbox / "invitation" / "a.png").write_bytes(b"art")
    found = scan(inbox, CARDS)
    (folder,) = found.folders
    assert found.files == ()
    assert (folder.name, folder.has_held_toml) == ("invitation", True)
    assert [name for name, _ in folder.files] == ["a.png", "held.toml"]


def test_an_unknown_folder_is_shown_with_its_files_and_nothing_of_it_is_taken(inbox):
    (inbox / "stranger").mkdir()
    (inbox / "stranger" / "a.png").write_bytes(b"art")
    found = scan(inbox, CARDS)
    assert (found.files, found.folders[0].has_held_toml) == ((), False)
    assert found.folders[0].files == (("a.png", Identity.of(os.lstat(inbox / "stranger" / "a.png"))),)


def test_temporary_names_are_ignored_by_name(inbox):
    (inbox / ".hidden").mkdir()
    (inbox / "@eaDir").mkdir()
    (inbox / "a.png.part").write_bytes(b"")
    (inbox / "invitation" / ".deeper").mkdir(parents=True)
    found = scan(inbox, CARDS)
    assert found.ignored == (".hidden", "@eaDir", "a.png.part", str(Path("invitation", ".deeper")))
    assert (found.files, found.folders) == ((), ())


def test_a_returned_order_whose_name_looks_temporary_is_still_seen(inbox):
    (inbox / "menu.part").mkdir()
    (inbox / "menu.part" / "held.toml").write_text("")
    assert scan(inbox, CARDS).folders[0].name == "menu.part"


def test_links_pipes_and_sockets_are_refused_and_not_followed(inbox, tmp_path, monkeypatch):
    (tmp_path / "outside").mkdir()
    (tmp_path / "outside" / "secret.png").write_bytes(b"art")
    (inbox / "file-link.png").symlink_to(tmp_path / "outside" / "secret.png")
    (inbox / "invitation").symlink_to(tmp_path / "outside")
    os.mkfifo(inbox / "pipe.png")
    monkeypatch.chdir(inbox)  # a socket's whole path may have but 107 bytes
    with socket.socket(socket.AF_UNIX) as unix:
        unix.bind("socket.png")
    found = scan(inbox, CARDS)
    assert found.files == ()
    assert [path.name for path in found.refused] == ["file-link.png", "invitation", "pipe.png", "socket.png"]


def test_the_inbox_itself_may_be_a_link(inbox, tmp_path):
    (inbox / "a.png").write_bytes(b"art")
    (tmp_path / "link").symlink_to(inbox)
    assert scan(tmp_path / "link", CARDS).files[0].path == tmp_path / "link" / "a.png"


def test_a_missing_inbox_is_an_error_not_an_empty_one(tmp_path):
    with pytest.raises(FileNotFoundError):
        scan(tmp_path / "gone", CARDS)


def test_what_vanishes_between_two_looks_is_left_out(inbox, monkeypatch):
    (inbox / "a.png").write_bytes(b"art")
    (inbox / "b.png").write_bytes(b"art")
    lstat = Path.lstat

    def vanishing(path):
        if path.name == "a.png":
            path.unlink()
        return lstat(path)

    monkeypatch.setattr(Path, "lstat", vanishing)
    assert _names(scan(inbox, CARDS)) == ["b.png"]


def test_a_folder_that_may_not_be_read_stops_nothing_else(inbox, monkeypatch):
    (inbox / "invitation").mkdir()
    (inbox / "menu.png").write_bytes(b"art")
    scandir = os.scandir

    def refusing(folder):
        if Path(folder).name == "invitation":
            raise PermissionError(13, "denied", str(folder))
        return scandir(folder)

    monkeypatch.setattr(scan_module.os, "scandir", refusing)
    found = scan(inbox, CARDS)
    assert (_names(found), found.refused) == (["menu.png"], (inbox / "invitation",))


def test_a_name_that_is_not_text_is_seen(inbox):
    name = os.fsdecode(b"caf\xe9_front.png")
    (inbox / name).write_bytes(b"art")
    assert _names(scan(inbox, CARDS)) == [name]


def test_a_file_that_is_online_only_is_ignored(inbox, monkeypatch):
    """0x400000: FILE_ATTRIBUTE_RECALL_ON_DATA_ACCESS, file attribute constants of Windows."""
    (inbox / "a.png").write_bytes(b"art")

    class Status:
        st_file_attributes = 0x400000

    assert scan_module._is_placeholder(Status())
    monkeypatch.setattr(scan_module, "_is_placeholder", lambda status: True)
    assert scan(inbox, CARDS).ignored == ("a.png",)
