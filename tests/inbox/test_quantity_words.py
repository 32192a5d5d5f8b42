"""Quantities as people write them, and what is none."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.inbox.quantity_words import find_quantities

GAPS = st.sampled_from(["_", "-", " ", "."])
WORDS = st.sampled_from(["menu", "Spring Fête", "tea", "A6", "Müller", "v2", "rsvp"])


def _said(name: str) -> list[tuple[str, bool]]:
    return [(words.digits, words.is_sure) for words in find_quantities(name)]


@pytest.mark.parametrize(
    "said",
    ["50x", "x50", "X50", "×50", "50×", "x 50", "50 x", "50 pcs", "50pcs", "50 pcs.", "qty50", "qty 50", "QTY-50",
     "qty=50", "quantity 50", "50 Stück", "50 Stu\u0308ck", "50 Stueck", "50 cards", "50cards", "50 copies", "Menge 50",
     "50 exemplaires", "50 stuks", "50 szt", "50枚", "50 штук", "(x50)", "(50 pcs)", "x50 pcs"],
)  # fmt: skip
def test_fifty_in_many_hands(said):
    assert _said(f"menu {said}") == [("50", True)]
    assert _said(f"{said} menu") == [("50", True)]


@pytest.mark.parametrize("said", ["1,000 pcs", "1.000x", "1000 cards", "1'000 Stück"])
def test_a_thousand_may_have_its_mark(said):
    assert _said(f"menu {said}") == [("1000", True)]


@pytest.mark.parametrize(
    "name",
    ["menu 5x7", "5x7 menu", "menu 5 x 7", "menu 5 x 7 cards", "menu 4x6in", "menu 10 x 15 cm", "menu 8.5x11",
     "menu 148x210", "menu-2026", "table 12", "table 12 front", "v2", "menu v2", "300dpi", "menu 300 dpi", "menu@2x",
     "menu 2.5x", "24.12.2026", "2026-12-24", "no 50", "50", "A6", "menu 50 final", "x", "xmas", "box50", "50mm",
     "3rd edition", "menu 100%", "page 3 of 5", "MMXXVI", "x-ray 50", "5th", "50th birthday", "70x100 poster"],
)  # fmt: skip
def test_what_is_no_quantity_stays_none(name):
    assert _said(name) == []


@given(st.integers(1, 30), st.integers(1, 30), st.sampled_from(["x", "X", "×", " x ", " × "]), WORDS, GAPS)
def test_two_lengths_are_no_quantity(one, other, times, word, gap):
    assert _said(f"{word}{gap}{one}{times}{other}") == []
    assert _said(f"{one}{times}{other}{gap}{word}") == []


@given(WORDS, GAPS, st.integers(0, 99_999))
def test_a_bare_number_is_no_quantity(word, gap, number):
    assert _said(f"{word}{gap}{number}") == []


@given(WORDS, GAPS, st.integers(5, 99_999), st.sampled_from(["x{}", "{}x", "×{}", "{} pcs", "qty{}", "{} Stück"]))
def test_a_number_with_its_sign_is_one_before_and_behind(word, gap, number, form):
    said = form.format(number)
    assert _said(f"{word}{gap}{said}") == [(str(number), True)]
    assert _said(f"{said}{gap}{word}") == [(str(number), True)]


@pytest.mark.parametrize("name", ["menu 2x", "menu-4x", "table 12 x 50", "3 pieces of cake"])
def test_what_may_be_one_or_not_is_not_sure(name):
    assert [sure for _, sure in _said(name)] == [False]


def test_what_is_sure_goes_before_what_is_not():
    assert _said("menu x50 2x") == [("50", True)]


def test_two_quantities_are_both_told():
    assert _said("menu x50 40pcs") == [("50", True), ("40", True)]


@given(st.text())
def test_no_text_crashes(text):
    find_quantities(text)
