"""The fingerprint of an order: equal for the same art again, and for years the same."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.orders.an_order import an_order
from watcher.archive.repeat import common_name, is_common
from watcher.archive.same_art import order_fingerprint
from watcher.layout.geometry import Size
from watcher.orders.model import ArtSource
from watcher.settings.card import CardSettings
from watcher.terms import Sequencing, Side

CARD = CardSettings(name="menu", trim=Size(Fraction(90), Fraction(50)), sheet="a4")
FRONT = ArtSource(side=Side.FRONT, file="a.png", sha256="ab")
BACK = ArtSource(side=Side.BACK, file="b.pdf", sha256="cd", page=0)
ORDER = an_order("spring", card="menu", sheet="a4", quantity=40, overs="5 %", art=(FRONT, BACK))


def test_it_is_that_of_the_first_version():
    """A journal keeps it: a release that hashes otherwise would make everything anew."""
    assert order_fingerprint(ORDER, CARD, {}) == "44cfb155680839a504b60c2f361db5813c996c051f42622c790f8eb6c5c8b898"


def test_the_names_of_files_and_the_order_of_sides_do_not_count():
    other = replace(ORDER, art=(replace(BACK, file="y.pdf"), replace(FRONT, file="x.png")))
    assert order_fingerprint(other, CARD, {}) == order_fingerprint(ORDER, CARD, {})


@pytest.mark.parametrize(
    "change", [{"quantity": 41}, {"overs": "6 %"}, {"sheet": "a3"}, {"card": "tag"}, {"only": (1,)}]
)
def test_another_wish_is_another_order(change):
    other = an_order(
        "spring", art=ORDER.art, **({"card": "menu", "sheet": "a4", "quantity": 40, "overs": "5 %"} | change)
    )
    assert order_fingerprint(other, CARD, {}) != order_fingerprint(ORDER, CARD, {})


def test_sheets_in_place_of_spoiled_ones_are_another_order():
    assert order_fingerprint(ORDER, CARD, {}, 2) != order_fingerprint(ORDER, CARD, {})


def test_other_common_art_is_another_order():
    alone = replace(ORDER, art=(FRONT,))
    assert order_fingerprint(alone, CARD, {Side.BACK: "cd"}) != order_fingerprint(alone, CARD, {Side.BACK: "ef"})


def test_several_designs_count_by_number_and_sequence():
    several = replace(ORDER, art=(FRONT, replace(FRONT, design=2, sha256="ef")))
    turned = replace(ORDER, art=(replace(FRONT, design=2), replace(FRONT, sha256="ef")))
    assert order_fingerprint(several, CARD, {}) != order_fingerprint(turned, CARD, {})
    stacked = replace(several, wishes=replace(several.wishes, sequence=Sequencing.STACKS))
    assert order_fingerprint(several, CARD, {}) != order_fingerprint(stacked, CARD, {})


def test_a_copy_of_common_art_is_known_by_its_name():
    assert is_common(replace(FRONT, file=common_name(Side.FRONT, ".PDF")))
    assert not is_common(replace(FRONT, file="common-sense_front.pdf"))
