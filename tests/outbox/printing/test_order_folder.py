"""A folder of the outbox is read by its files, whatever it is called."""

import pytest
import tomli_w

from watcher.archive.folder_words import Word
from watcher.outbox.printing.order_folder import all_folders_of, find_by_key, name_with, read_order_folder


@pytest.fixture
def lay(tmp_path):
    """Lay an order's folder into a place."""

    def at(path, order="lantern", made_at="2026-11-30"):
        folder = tmp_path / path
        folder.mkdir(parents=True)
        printing = [{"file": f"{order}_sheets.pdf", "copies": 1, "sides": "one-sided", "media": "m"}]
        ticket = {"order": order, "made_at": made_at, "settings_sha256": "s", "print": printing}
        (folder / f"{order}_ticket.toml").write_bytes(tomli_w.dumps(ticket).encode())
        (folder / f"{order}_sheets.pdf").write_bytes(b"%PDF-1.6\n%%EOF\n")
        return folder

    return at


def test_whose_it_is_and_what_its_name_says(lay) -> None:
    folder = read_order_folder(lay("Lantern print 2"))
    assert (folder.order, folder.words.word, folder.words.sheets) == ("lantern", Word.PRINT, 2)
    assert folder.settings == ("s",)
    assert folder.key == "lantern\n2026-11-30"


def test_another_order_of_the_same_name_has_another_key(lay, tmp_path) -> None:
    lay("printed/lantern", made_at="2025-01-01")
    now = lay("lantern print")
    assert [one.path.name for one in all_folders_of(tmp_path, "lantern")] == ["lantern print", "lantern"]
    assert find_by_key(tmp_path, "lantern", "lantern\n2026-11-30").path == now
    assert find_by_key(tmp_path, "lantern", "lantern\n1999-01-01") is None


def test_it_is_whole_when_every_file_of_sheets_has_its_end(lay) -> None:
    folder = read_order_folder(lay("lantern"))
    assert folder.is_whole
    (folder.path / "lantern_sheets.pdf").write_bytes(b"%PDF-1.6\n1 0 obj")
    assert not folder.is_whole
    (folder.path / "lantern_sheets.pdf").unlink()
    assert not folder.is_whole


def test_a_folder_without_a_ticket_is_no_order(lay, tmp_path) -> None:
    folder = lay("lantern")
    (folder / "lantern_ticket.toml").unlink()
    assert read_order_folder(folder) is None
    assert read_order_folder(tmp_path / "gone") is None


def test_the_name_with_a_word() -> None:
    assert name_with("a b", Word.FRONTS_PRINTED) == "a b fronts printed"
    assert name_with("a b", Word.NONE) == "a b"
