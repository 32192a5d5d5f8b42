"""What is measured along the edges of a card: borders, things near the cut, and what runs over the edge."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from watcher.art.checks.rim import measure_edges
from watcher.art.model import CardFace, Fit, Thumbnail
from watcher.layout.geometry import Box
from watcher.terms import Edge, MakeBleed

K = 10  # px a millimetre


@pytest.fixture
def measured(art_of, small):
    """Measures of white art of 66 x 90 mm, on 60 x 84 mm, with black boxes in mm from its upper left; by edge."""

    def measure(*boxes):
        pixels = np.full((90 * K, 66 * K, 3), 255, np.uint8)
        for left, top, right, bottom in boxes:
            pixels[round(top * K) : round(bottom * K), round(left * K) : round(right * K)] = 0
        box = Box(*map(Fraction, (-3, -3, 63, 87)))
        fit = Fit(box=box, bleed=Fraction(3), make_bleed=MakeBleed.NONE, ppi=Fraction(254))
        art = replace(art_of(66 * K, 90 * K), thumbnail=Thumbnail(picture=pixels))
        return {one.edge: one for one in measure_edges(CardFace(art=art, fit=fit), small)}

    return measure


def test_bare_art_has_nothing_at_its_edges(measured):
    found = measured()
    assert set(found) == set(Edge)
    assert all((one.border, one.nearest_mm, one.crosses) == (None, None, False) for one in found.values())
    assert {round(one.past_trim_mm, 3) for one in found.values()} == {3}


def test_what_stands_near_one_edge_is_measured_there_alone(measured):
    found = measured((5, 30, 20, 34))
    assert found[Edge.LEFT].nearest_mm == pytest.approx(2, abs=0.15)
    assert not found[Edge.LEFT].crosses
    assert {edge for edge, one in found.items() if one.nearest_mm is not None} == {Edge.LEFT}
    assert measured((1.5, 30, 20, 34))[Edge.LEFT].crosses


def test_what_bleeds_off_does_not_stand_there(measured):
    found = measured((0, 30, 20, 34))[Edge.LEFT]
    assert (found.nearest_mm, found.crosses) == (None, False)


def test_between_things_that_run_out_on_three_sides_nothing_stands(measured):
    """Six of them with no third of the way round free: a pattern, and what is near its fourth edge is part of it."""
    above_and_below = [(x, y, x + 2, y + 6) for x in (20, 58) for y in (0, 84)]
    to_the_left, near_the_right = [(0, y, 6, y + 2) for y in (25, 45)], (59, 43, 62, 47)
    assert measured(*above_and_below, *to_the_left, near_the_right)[Edge.RIGHT].nearest_mm is None
    assert measured(*above_and_below, near_the_right)[Edge.RIGHT].nearest_mm == pytest.approx(1, abs=0.15)


def test_a_frame_is_a_border_at_its_distance_with_the_colour_outside_of_it(measured):
    for one in measured((5, 5, 61, 85)).values():
        assert one.border.inside_mm == pytest.approx(2, abs=0.15)
        assert one.border.outer == (255, 255, 255)
        assert one.nearest_mm is None


def test_art_without_a_thumbnail_is_not_measured(art_of, small):
    box = Box(*map(Fraction, (0, 0, 60, 84)))
    fit = Fit(box=box, bleed=Fraction(3), make_bleed=MakeBleed.NONE, ppi=None)
    assert measure_edges(CardFace(art=art_of(600, 840), fit=fit), small) == ()
