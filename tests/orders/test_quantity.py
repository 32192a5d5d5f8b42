from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.orders.quantity import count_sheets, quantity_line
from watcher.settings.amounts import Overs, OversKind

NONE = Overs(OversKind.CARDS, Fraction(0))


def percent(amount: str) -> Overs:
    return Overs(OversKind.PERCENT, Fraction(amount))


@pytest.mark.parametrize(
    ("quantity", "up", "share", "sheets"),
    [(250, 8, "5", 33), (100, 9, "10", 13), (500, 12, "3", 43)],
)
def test_overs_are_counted_in_cards_first(quantity: int, up: int, share: str, sheets: int) -> None:
    """By hand: 250 and 5 % are 263 cards, 33 sheets of 8; 110 cards, 13 of 9; 515 cards, 43 of 12."""
    assert count_sheets(quantity, percent(share), up).total == sheets


def test_ten_percent_of_a_hundred_is_ten_cards() -> None:
    """In floats 100 x 1.1 is 110.00000000000001, which rounds up to 111."""
    assert count_sheets(100, percent("10"), 1).total == 110


def test_a_spare_sheet_comes_on_top() -> None:
    """The worked sentence."""
    count = count_sheets(50, Overs(OversKind.SHEETS, Fraction(1)), 2)
    assert (count.base, count.spare, count.total) == (25, 1, 26)
    assert count.words == "50 cards = 25 sheets, plus 1 spare"


def test_overs_that_fit_on_the_last_sheet_need_no_spare() -> None:
    count = count_sheets(47, Overs(OversKind.CARDS, Fraction(3)), 10)
    assert (count.base, count.spare, count.overs_cards) == (5, 0, 3)


def test_twenty_five_cards_two_up_are_thirteen_sheets() -> None:
    """Common practice, no source."""
    assert count_sheets(25, NONE, 2).words == "25 cards = 13 sheets"


def test_one_card_is_said_in_the_singular() -> None:
    assert quantity_line(1, 1, 0) == "1 card = 1 sheet"
    assert quantity_line(2, 1, 2) == "2 cards = 1 sheet, plus 2 spare"


@pytest.mark.parametrize(("quantity", "up"), [(0, 2), (5, 0)])
def test_nothing_to_print_is_refused(quantity: int, up: int) -> None:
    with pytest.raises(ValueError, match="1 or more"):
        count_sheets(quantity, NONE, up)


@given(quantity=st.integers(1, 10_000), up=st.integers(1, 60), amount=st.fractions(0, 100))
def test_there_are_enough_cards_and_not_a_sheet_more(quantity: int, up: int, amount: Fraction) -> None:
    count = count_sheets(quantity, Overs(OversKind.PERCENT, amount), up)
    assert count.base * up >= quantity > (count.base - 1) * up
    wanted = quantity + quantity * amount / 100
    assert count.total * up >= wanted > count.total * up - up - 1


def test_several_designs_are_said_with_their_number() -> None:
    """The quantity counts each."""
    assert quantity_line(1, 3, 0, designs=24) == "24 designs x 1 card = 3 sheets"
    assert quantity_line(50, 100, 6, designs=16) == "16 designs x 50 cards = 100 sheets, plus 6 spare"
