"""The warning of lanes narrower than twice the bleed, and the flat art that needs none."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.instructions.an_order import FACTS, two_up
from watcher.art.model import Art, CardFace, Fit, ImageStream, Raster
from watcher.instructions.narrow_lanes import lane_findings
from watcher.layout.geometry import Box, Size
from watcher.layout.model import Place
from watcher.settings.card import CardSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import Level, MakeBleed, Side


def laid(lane):
    """Two cards one above the other, so far apart."""
    layout = two_up()
    one, other = layout.places
    down = replace(other.front, trim=one.front.trim.moved(Fraction(0), -one.front.trim.height - Fraction(lane)))
    return replace(layout, places=(one, Place(number=2, front=down, back=down)))


def setup(gutter):
    card = CardSettings(name="invitation", trim="5 x 7 in", bleed="0.125 in", sheet="letter")
    sheet = SheetSettings(name="letter", size="letter", printer="office", gutter=gutter)
    return replace(FACTS.settings, card=card, sheet=sheet)


def face(colour, side=Side.FRONT, shown="x.png"):
    extent = Size(Fraction(10), Fraction(14))
    stream = ImageStream(data=b"", filter="/FlateDecode", predictor=15, width_px=10, height_px=14, bits=8, colours=3)
    art = Art(side=side, file=shown, sha256="", extent=extent, width_px=10, height_px=14, content=Raster(stream=stream))
    box = Box(Fraction(0), Fraction(0), Fraction(127), Fraction("177.8"))
    fit = Fit(box=box, bleed=Fraction(0), make_bleed=MakeBleed.NONE, ppi=None)
    return CardFace(art=art, fit=fit, edge_colour=colour)


def test_a_lane_narrower_than_twice_the_bleed_is_warned_of_with_the_way_out():
    (finding,) = lane_findings(laid(2), setup("2 mm"))
    assert (finding.level, finding.code) == (Level.WARN, "narrow-gutter")
    for words in ("lie 2 mm apart", "twice the bleed of invitation is 0.25 in", "by more than 1 mm", "Unless its art"):
        assert words in finding.message


@pytest.mark.parametrize(("lane", "gutter"), [("6.35", "2 mm"), ("2", "0.25 in"), ("2", None)])
def test_lanes_that_are_wide_or_follow_from_the_bleed_need_no_warning(lane, gutter):
    assert lane_findings(laid(lane), setup(gutter)) == ()


def test_art_of_one_flat_colour_along_its_edges_shows_no_neighbour():
    designs = [[face((10, 20, 30)), face((200, 0, 0), Side.BACK)], [face((12, 22, 28))]]
    assert lane_findings(laid(2), setup("2 mm"), designs) == ()


@pytest.mark.parametrize(
    ("designs", "words"),
    [
        (
            [[face((10, 20, 30)), face(None, Side.BACK, "fox.png")]],
            "fox.png is not one flat colour along its edges, so",
        ),
        ([[face((10, 20, 30))], [face((90, 20, 30))]], "The fronts do not have the same colour along their edges, so"),
    ],
)
def test_the_art_that_would_show_is_the_reason(designs, words):
    (finding,) = lane_findings(laid(2), setup("2 mm"), designs)
    assert words in finding.message
