"""The warning of ink that keeps cards out of the rim that the printer cannot print."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.instructions.an_order import FIVE_BY_SEVEN, two_up
from tests.layout.a_request import plain_request
from watcher.art.model import Art, CardFace, Fit, ImageStream, Raster
from watcher.instructions.paper_edge import paper_edge_findings
from watcher.layout.geometry import Box, Margins
from watcher.layout.model import WhiteEdges
from watcher.terms import Level, MakeBleed, Side, Turn

RIM = Margins(top=Fraction(1), right=Fraction(2), bottom=Fraction(3), left=Fraction(4))
BARE = WhiteEdges(front=Margins.all_round(Fraction("2.5")), back=Margins.all_round(Fraction(9)))
REQUEST = plain_request(bleed=Fraction(3), least_bleed=Fraction(3), gutter=Fraction(6), unprintable=RIM)


def face(side):
    stream = ImageStream(data=b"", filter="/FlateDecode", predictor=15, width_px=5, height_px=7, bits=8, colours=3)
    art = Art(
        side=side, file=f"{side}.png", sha256="", extent=FIVE_BY_SEVEN, width_px=5, height_px=7,
        content=Raster(stream=stream),
    )  # fmt: skip
    box = Box.at(Fraction(0), Fraction(0), FIVE_BY_SEVEN)
    return CardFace(art=art, fit=Fit(box=box, bleed=Fraction(0), make_bleed=MakeBleed.NONE, ppi=None))


def turned(*turns):
    """The two cards of the sheet, lying turned so."""
    layout = two_up()
    pairs = zip(layout.places, turns, strict=True)
    places = tuple(
        replace(place, front=replace(place.front, turn=turn), back=replace(place.front, turn=turn))
        for place, turn in pairs
    )
    return replace(layout, places=places)


def said(ideal, bare=BARE):
    layout = replace(two_up(), places=two_up().places[:1])
    return paper_edge_findings([face(Side.FRONT), face(Side.BACK)], layout, ideal, REQUEST, bare)


@pytest.mark.parametrize(
    ("turn", "near"),
    [
        (Turn.NONE, "2.5 mm from its bottom edge, 2.5 mm from its left edge; 3, 4 mm"),
        (Turn.LEFT, "2.5 mm from its top edge, 2.5 mm from its left edge; 4, 3 mm"),
        (Turn.HALF, "2.5 mm from its top edge, 2.5 mm from its right edge; 3, 4 mm"),
    ],
)
def test_each_edge_of_the_card_is_compared_with_the_rim_that_it_meets(turn, near):
    """A card turned to the left has its top at the left of the sheet and its left edge at the bottom."""
    (finding,) = said(turned(turn, turn))
    assert (finding.level, finding.code, finding.side) == (Level.WARN, "paper-edge-inked", Side.FRONT)
    assert f"front.png has ink {near} of bare paper is needed there for 2 on a sheet" in finding.message
    assert "There is room for 1 inside" in finding.message


def test_cards_that_lie_both_ways_need_the_widest_rim_at_every_edge():
    (finding,) = said(turned(Turn.NONE, Turn.HALF))
    assert finding.message.count("2.5 mm from its") == 4
    assert "; 4 mm of bare paper" in finding.message


def test_nothing_is_said_where_no_card_is_lost():
    assert said(replace(two_up(), places=two_up().places[:1])) == ()


def test_each_side_is_told_of_its_own_ink_and_one_that_is_not_there_of_none():
    inked = WhiteEdges(front=BARE.back, back=BARE.front)
    assert [one.side for one in said(turned(Turn.NONE, Turn.NONE), inked)] == [Side.BACK]
    assert said(turned(Turn.NONE, Turn.NONE), WhiteEdges(front=BARE.back)) == ()
