"""The records of an order tell its art, its designs and what sets it apart from another."""

from fractions import Fraction

import pytest

from tests.orders.an_order import an_order
from watcher.errors import OrderHeld
from watcher.layout.geometry import Size
from watcher.orders.model import OF_ALL, ArtSource, refuse_unknown_designs, show_numbers
from watcher.settings.card import CardSettings
from watcher.terms import Sequencing, Side

CARD = CardSettings(name="tag", trim=Size(Fraction(90), Fraction(50)), sheet="a4")


def fronts(*designs: int) -> tuple[ArtSource, ...]:
    return tuple(ArtSource(side=Side.FRONT, file=f"{one}.png", sha256="ab", design=one) for one in designs)


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([3], "3"),
        ([3, 4], "3 and 4"),
        ([1, 2, 5], "1, 2 and 5"),
        ([1, 7, 8, 9], "1 and 7 to 9"),
        (range(1, 21, 2), "1, 3, 5, 7, 9, 11, 13, 15 and more"),
    ],
)
def test_numbers_are_written_for_people(numbers, words):
    assert show_numbers(numbers) == words


def test_a_number_that_no_design_has_is_refused():
    refuse_unknown_designs([2, 3], [1, 2, 3])
    with pytest.raises(OrderHeld, match=r"There is no design 4 and 9 in the order; it has 1 to 3\."):
        refuse_unknown_designs([2, 4, 9], [1, 2, 3])
    with pytest.raises(OrderHeld, match=r"it has one design\."):
        refuse_unknown_designs([2], [1])


def test_of_designs_asked_for_alone_their_art_and_that_of_all_is_printed():
    order = an_order(art=fronts(OF_ALL, 1, 2, 3), only=(2,))
    assert order.designs == (1, 2, 3)
    assert [source.design for source in order.wanted_art] == [OF_ALL, 2]
    assert [source.design for source in an_order(art=fronts(1, 2)).wanted_art] == [1, 2]


def test_sequence_and_chosen_designs_tell_an_order_of_many_apart_and_nothing_one_of_one():
    stacks = {"sequence": Sequencing.STACKS}
    assert an_order(art=fronts(1), **stacks).told_apart(CARD) == []
    assert an_order(art=fronts(1, 2), sequence=Sequencing.ACROSS).told_apart(CARD) == []
    assert an_order(art=fronts(1, 2), **stacks).told_apart(CARD) == ["stacks", []]
    assert an_order(art=fronts(1, 2), only=(2,), sequence=Sequencing.ACROSS).told_apart(CARD) == ["across", [2]]


def test_its_art_is_named_in_no_more_than_a_line():
    in_zip = ArtSource(side=Side.FRONT, file="a.zip", sha256="ab", member="x", member_name="1.png")
    assert an_order(art=(in_zip, *fronts(1))).shown_art == "1.png in a.zip, 1.png"
    assert an_order(art=fronts(*range(1, 10))).shown_art.endswith("5.png, 6.png and 3 more")
