"""The defaults of a card, and the forms in which it is printed."""

from fractions import Fraction
from pathlib import Path

import pytest

from watcher.layout.geometry import Size
from watcher.settings.amounts import Overs, OversKind
from watcher.settings.card import CardSettings
from watcher.terms import Backs, MakeBleed, PaperEdge, Sequencing, ShapeMismatch, Side

CARD_DEFAULTS = {
    "bleed": 0,
    "least_bleed": 0,
    "art_bleed": None,
    "safe": 3,
    "sides": 2,
    "backs": Backs.HEAD_TO_HEAD,
    "quantity": 1,
    "overs": Overs(OversKind.CARDS, Fraction(0)),
    "common_back": None,
    "common_front": None,
    "shape_mismatch": ShapeMismatch.HOLD,
    "back_quarter": None,
    "make_bleed": MakeBleed.MIRROR,
    "warn_ppi": 225,
    "hold_ppi": 150,
    "paper_edge": PaperEdge.NO,
    "approve": False,
    "sequence": Sequencing.ACROSS,
    "fold": None,
    "corner": 0,
    "envelope": None,
    "label": None,
    "bundle": None,
}


@pytest.mark.parametrize(("key", "value"), CARD_DEFAULTS.items())
def test_default_of_a_card(load, key, value):
    assert getattr(load().cards["invitation"], key) == value


@pytest.mark.parametrize(
    ("fold", "width", "height", "backs"),
    [("left", "254", "177.8", Backs.HEAD_TO_HEAD), ("top", "127", "355.6", Backs.HEAD_TO_TOE)],
)
def test_a_folded_card_opens_out_to_twice_its_size(changed, fold, width, height, backs):
    """5 x 7 in; it opens like a book page or like a wall calendar, by itself."""
    card = changed({"cards.invitation": f'fold = "{fold}"'}).cards["invitation"]

    assert card.trim == Size(Fraction(127), Fraction("177.8"))
    assert card.flat == card.opened_out.trim == Size(Fraction(width), Fraction(height))
    assert card.opened_out.backs is backs


def test_a_flat_card_is_opened_out_as_it_is(load):
    card = load().cards["invitation"]

    assert card.opened_out is card
    assert card.flat == card.trim


def test_least_bleed_is_the_bleed_when_not_written(changed):
    card = changed({"cards.invitation": 'bleed = "3 mm"'}).cards["invitation"]

    assert card.least_bleed == 3


def test_least_bleed_stays_as_written(changed):
    card = changed({"cards.invitation": 'bleed = "3 mm"\nleast_bleed = "0 mm"'}).cards["invitation"]

    assert card.least_bleed == 0


def test_common_back_is_relative_to_the_file(changed, tmp_path):
    card = changed({"cards.invitation": 'common_back = "art/back.pdf"'}).cards["invitation"]

    assert card.common_back == tmp_path / "art" / "back.pdf"


@pytest.mark.parametrize(
    ("written", "common"),
    [
        ({"common_back": "back.png"}, {Side.BACK: Path("back.png")}),
        ({"common_front": "front.png"}, {Side.FRONT: Path("front.png")}),
        ({}, {}),
    ],
)
def test_the_art_that_all_orders_of_a_card_share_is_told_by_side(written, common):
    card = CardSettings(name="menu", trim="85 x 55 mm", sheet="a4", **written)
    assert card.common_art == common


def test_records_are_built_from_values_as_well():
    """A program gives sizes and lengths as values; the file gives them as text."""
    size = Size(Fraction(127), Fraction("177.8"))
    card = CardSettings(
        name="card", trim=size, bleed=Fraction(3), sheet="letter", overs=Overs(OversKind.SHEETS, Fraction(1))
    )

    assert card == CardSettings(name="card", trim="5 x 7 in", bleed="3 mm", sheet="letter", overs="1 sheet")


def test_the_table_of_defaults_is_complete():
    assert CardSettings.model_fields.keys() - CARD_DEFAULTS.keys() == {"name", "trim", "sheet"}
