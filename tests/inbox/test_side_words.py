"""The word that says front or back, wherever it stands."""

import pytest

from watcher.inbox.side_words import before_gap, side_table, without_part
from watcher.settings.names import NameSettings
from watcher.terms import Side

NAMES = NameSettings()
TABLE = side_table(NAMES.front, NAMES.back)
FRONT, BACK = Side.FRONT, Side.BACK

PAIRS = [
    ("front", "back"), ("recto", "verso"), ("Vorderseite", "Rückseite"), ("VORDERSEITE", "RUECKSEITE"),
    ("vorderseite", "ruckseite"), ("avant", "arrière"), ("avant", "arriere"), ("frente", "dorso"),
    ("frente", "reverso"), ("fronte", "retro"), ("voorkant", "achterkant"), ("forside", "bagside"),
    ("przod", "tyl"), ("表", "裏"),
]  # fmt: skip


@pytest.mark.parametrize(("front", "back"), PAIRS)
def test_the_words_of_many_languages_at_the_end_and_elsewhere(front, back):
    for word, side in ((front, FRONT), (back, BACK)):
        assert TABLE.at_end(f"menu {word}").side is side
        assert TABLE.anywhere(f"{word} menu").side is side
        assert TABLE.anywhere(f"menu-{word}-final2").rest == "menu-final2"


@pytest.mark.parametrize(
    "name", ["Front of menu", "FRONT_menu", "front-menu", "Vorderseite von menu", "recto de menu", "frente del menu"]
)
def test_a_word_at_the_start_leaves_the_order(name):
    found = TABLE.anywhere(name)
    assert (found.rest, found.side) == ("menu", FRONT)


@pytest.mark.parametrize("name", ["front to back", "menu", "backpack", "front", "storefront menu", "front-back-menu"])
def test_no_word_or_several_or_nothing_else_is_none(name):
    assert TABLE.anywhere(name) is None


@pytest.mark.parametrize(
    "name", ["menu front and back", "menu_front+back", "menu recto & verso", "menu Vorderseite und Rückseite"]
)
def test_both_sides_at_the_end_are_told(name):
    assert TABLE.without_both(name) == "menu"


@pytest.mark.parametrize("name", ["menu front back", "menu back and back", "menu"])
def test_other_ends_are_not_both_sides(name):
    assert TABLE.without_both(name) is None


@pytest.mark.parametrize(
    ("text", "part", "left"),
    [("a_b-c", "b", "a_c"), ("a b", "a", "b"), ("a b", "b", "a"), ("a  b  c", "b", "a c"), ("b", "b", "")],
)
def test_one_gap_is_left_where_a_part_was(text, part, left):
    at = text.index(part)
    assert without_part(text, at, at + 1) == left


def test_a_gap_is_needed_before_what_is_taken():
    assert (before_gap("menu_ "), before_gap("menu")) == ("menu", None)


def test_a_word_with_its_accent_apart_is_found_where_no_other_word_is_as_long():
    """A Mac writes the name of a file so (normal form D of Unicode)."""
    assert side_table(("\u00e9",), ("b",)).at_end("menu e\u0301").side is FRONT


def test_without_words_nothing_is_a_side():
    none = side_table((), ())
    assert (none.at_end("menu"), none.anywhere("menu"), none.without_both("menu and ")) == (None, None, None)
