"""Overs and piles: read, counted, and written back."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.settings.amounts import Overs, OversKind, Pile, parse_overs, parse_pile


@pytest.mark.parametrize(
    ("value", "kind", "amount", "written"),
    [
        (0, OversKind.CARDS, 0, "0"),
        (3, OversKind.CARDS, 3, "3"),
        ("3", OversKind.CARDS, 3, "3"),
        ("3 cards", OversKind.CARDS, 3, "3"),
        ("1 card", OversKind.CARDS, 1, "1"),
        ("5 %", OversKind.PERCENT, 5, "5 %"),
        ("5%", OversKind.PERCENT, 5, "5 %"),
        ("2.5 %", OversKind.PERCENT, Fraction(5, 2), "2.5 %"),
        ("0.125 percent", OversKind.PERCENT, Fraction(1, 8), "0.125 %"),
        ("1/3 %", OversKind.PERCENT, Fraction(1, 3), "1/3 %"),
        ("1 sheet", OversKind.SHEETS, 1, "1 sheet"),
        ("2 sheets", OversKind.SHEETS, 2, "2 sheets"),
        ("1000000", OversKind.CARDS, 1_000_000, "1000000"),
    ],
)
def test_overs_are_read_and_written_back(value, kind, amount, written):
    overs = parse_overs(value)

    assert overs == Overs(kind, Fraction(amount))
    assert str(overs) == written


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (True, "write a share"),
        (3.0, "write a share"),
        (None, "write a share"),
        ("some", "write a share"),
        ("nan %", "write a share"),
        ("5 boxes", "write a share"),
        (-1, "use 0 or more"),
        ("-5 %", "use 0 or more"),
        ("2.5", "use whole cards"),
        ("1.5 sheets", "use whole sheets"),
        (1_000_001, "use 1,000,000 or less"),
        ("2000000 sheets", "use 1,000,000 or less"),
        ("1001 %", "use 1000 % or less"),
        ("2,500 %", "write a point, not a comma"),
    ],
)
def test_impossible_overs_say_what_is_right(value, says):
    with pytest.raises(ValueError, match=says):
        parse_overs(value)


@pytest.mark.parametrize(
    ("overs", "quantity", "up", "extra"),
    [
        ("10 %", 100, 8, 10),  # the trap of binary fractions: 100 * 1.1 is 110.00000000000001
        ("5 %", 250, 8, 13),  # by hand: 250 cards and 5 % are 262.5, so 263
        ("10 %", 100, 9, 10),  # 110 cards
        ("3 %", 500, 12, 15),  # 515 cards
        ("7 %", 100, 1, 7),  # 100 * 1.07 is 107.00000000000001
        ("1 %", 1, 1, 1),
        ("0 %", 500, 12, 0),
        (3, 500, 12, 3),
        ("1 sheet", 50, 2, 2),
        ("2 sheets", 50, 12, 24),
    ],
)
def test_extra_cards(overs, quantity, up, extra):
    """Percent of the cards, rounded up exactly; the figures are worked out by hand."""
    assert parse_overs(overs).cards_for(quantity, up) == extra


@given(st.integers(1, 10**6), st.decimals(min_value=0, max_value=1000, places=3))
def test_percent_is_the_least_whole_number_that_is_enough(quantity, percent):
    extra = parse_overs(f"{percent:f} %").cards_for(quantity, 1)

    assert extra - 1 < quantity * Fraction(percent) / 100 <= extra


@given(st.sampled_from(OversKind), st.integers(0, 1000), st.integers(1, 1000))
def test_overs_survive_being_written_and_read(kind, amount, part):
    overs = Overs(kind, Fraction(amount, part) if kind is OversKind.PERCENT else Fraction(amount))

    assert parse_overs(str(overs)) == overs


@pytest.mark.parametrize(
    ("text", "pile"),
    [
        ("40 mm", Pile(height=Fraction(40))),
        ("1.5 in", Pile(height=Fraction("38.1"))),
        ("3 sheets", Pile(sheets=3)),
        ("1 sheet", Pile(sheets=1)),
    ],
)
def test_a_pile_is_so_high_or_so_many_sheets(text, pile):
    assert parse_pile(text) == pile
    assert parse_pile(str(pile)) == pile


@pytest.mark.parametrize("text", ["40", 40, "", "forty mm", "0 mm", "0 sheets", "1.5 sheets", "1 m", "201 mm", None])
def test_what_is_no_pile_is_refused(text):
    with pytest.raises(ValueError, match=r"^(write the height of a pile|use )"):
        parse_pile(text)


@pytest.mark.parametrize(("thickness", "sheets"), [("0.35", 114), ("0.3", 133), ("0.25", 160), ("50", 1)])
def test_sheets_in_a_pile(thickness, sheets):
    """40 mm of 0.35 mm are 114 sheets: pile over caliper, rounded down (by hand; 80 mm are 228)."""
    assert Pile(height=Fraction(40)).sheets_of(Fraction(thickness)) == sheets
    assert Pile(height=Fraction(80)).sheets_of(Fraction("0.35")) == 228


def test_a_pile_of_paper_of_unknown_thickness_is_not_guessed():
    assert Pile(height=Fraction(40)).sheets_of(None) is None
    assert Pile(sheets=3).sheets_of(None) == 3
