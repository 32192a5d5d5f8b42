"""What an order asks for, and what its card decides where it says nothing."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Size
from watcher.orders.wishes import Wishes, overs_from
from watcher.settings.amounts import NO_OVERS, Overs, OversKind
from watcher.settings.card import CardSettings
from watcher.terms import Sequencing

ASKED = CardSettings(
    name="place-card",
    trim=Size(Fraction(90), Fraction(50)),
    sheet="a4",
    approve=True,
    sequence=Sequencing.STACKS,
)


def test_the_card_decides_what_the_order_does_not_say():
    assert Wishes().approve_for(ASKED) is True
    assert Wishes().sequence_for(ASKED) is Sequencing.STACKS


def test_the_order_goes_before_its_card():
    wishes = Wishes(approve=False, sequence=Sequencing.ACROSS)
    assert wishes.approve_for(ASKED) is False
    assert wishes.sequence_for(ASKED) is Sequencing.ACROSS


def test_nothing_is_asked_for_that_nobody_said():
    assert not [name for name, value in vars(Wishes()).items() if value]


def test_overs_that_are_not_said_are_none():
    assert Wishes().spare == NO_OVERS
    assert Wishes(overs=overs_from("3")).spare == Overs(OversKind.CARDS, Fraction(3))


@pytest.mark.parametrize("text", ["0", "3", "5 %", "2.5 %", "1 sheet", "2 sheets"])
def test_overs_are_read_as_they_are_written(text):
    assert str(overs_from(text)) == text


@pytest.mark.parametrize("text", ["", "many", "-1", "3 piles"])
def test_what_is_no_overs_is_refused(text):
    with pytest.raises(ValueError, match=r"."):
        overs_from(text)
