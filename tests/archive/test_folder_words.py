"""What people say by renaming a folder in the outbox is read, whatever their keyboard makes of it."""

from pathlib import Path

import pytest

from watcher.archive.folder_words import Word, folder_of, folders_of, read_words


def said(folder: str, order: str = "lantern-walk") -> tuple[str, str, int | None] | None:
    words = read_words(folder, [f"{order}_sheets.pdf", f"{order}_ticket.toml", f"{order}_preview.png"])
    return words and (words.order, str(words.word), words.sheets)


@pytest.mark.parametrize(
    ("folder", "word", "sheets"),
    [
        ("lantern-walk", "", None),
        ("lantern-walk print", "print", None),
        ("lantern-walk print ", "print", None),
        ("lantern-walk  Print", "print", None),
        ("Lantern-Walk_PRINT", "print", None),
        ("lantern-walk-print-1", "print", 1),
        ("lantern-walk print 3", "print", 3),
        ("lantern-walk print3", "print", 3),
        ("lantern-walk print x12. ", "print", 12),
        ("lantern-walk\u00a0printed", "printed", None),
        ("lantern-walk printed 12", "printed", 12),
        ("lantern-walk fronts printed", "fronts printed", None),
        ("lantern-walk perhaps_printed", "perhaps printed", None),
        ("lantern-walk not printed", "not printed", None),
        ("lantern-walk prnt", "other", None),
        ("lantern-walk print 0", "other", None),
        ("lantern-walk print 5000", "print", 5000),
        ("lantern-walk print 5001", "other", None),
        ("lantern-walkprint", "other", None),
        ("lantern-walk print (conflicted copy 2026-11-30)", "other", None),
    ],
)
def test_a_word_behind_the_name(folder: str, word: str, sheets: int | None) -> None:
    assert said(folder) == ("lantern-walk", word, sheets)


def test_an_order_that_is_called_like_a_word_is_that_order() -> None:
    assert said("spring print", "spring print") == ("spring print", "", None)
    assert said("spring print print 2", "spring print") == ("spring print", "print", 2)
    assert said("printed", "printed") == ("printed", "", None)


def test_names_that_are_composed_differently_are_the_same() -> None:
    assert said("cafe\u0301 print", "caf\u00e9") == ("caf\u00e9", "print", None)


def test_a_folder_without_sheets_of_its_name_says_nothing() -> None:
    assert read_words("lantern print", ["comet_sheets.pdf", "notes.txt"]) is None


def test_the_sheets_of_runs_and_of_hand_turned_stacks_are_known() -> None:
    files = ["run-2026-11-30_layout-2_sheets.pdf", "apple_ticket.toml"]
    assert read_words("run-2026-11-30 print", files) is not None
    assert said("x print", "x") == ("x", "print", None)
    assert read_words("x print", ["x_1-fronts.pdf", "x_2-backs.pdf"]) is not None


def test_the_folder_of_an_order_is_found_under_its_new_name(tmp_path: Path) -> None:
    for folder, order in (("lantern print 1", "lantern"), ("lantern print", "lantern print")):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / f"{order}_sheets.pdf").touch()
    assert folder_of(tmp_path, "lantern") == tmp_path / "lantern print 1"
    assert folder_of(tmp_path, "lantern print") == tmp_path / "lantern print"
    assert list(folders_of(tmp_path, "comet")) == []
    assert Word.PRINT.is_answer
    assert not Word.FRONTS_PRINTED.is_answer
