"""Strips of pixels along an edge, and the marks in them."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from watcher.art.checks.edge_strips import flooded, marks_of, near_any, pooled, runs_of, strips_of, within_trim
from watcher.art.model import CardFace, Fit, Thumbnail
from watcher.layout.geometry import Box
from watcher.terms import Edge, MakeBleed


def _mask(*rows: str) -> np.ndarray:
    return np.array([[sign == "x" for sign in row] for row in rows])


def test_a_mark_is_where_the_colour_changes_within_two_pixels():
    planes = np.zeros((1, 5, 5), np.int16)
    planes[0, 3:, :] = 200
    assert marks_of(planes).any(axis=1).tolist() == [False, False, True, True, False]


def test_the_grain_of_a_photo_is_no_mark():
    planes = np.arange(25, dtype=np.int16).reshape(1, 5, 5)
    assert not marks_of(planes).any()


def test_runs_pass_over_short_gaps():
    line = _mask("xx.x...xx")[0]
    assert runs_of(line, 1) == [(0, 4), (7, 9)]
    assert runs_of(line, 3) == [(0, 9)]
    assert runs_of(_mask("....")[0], 3) == []


def test_a_cell_holds_whatever_lies_in_it():
    assert pooled(_mask("x....", ".....", "....x"), (2, 2)).tolist() == _mask("x..", "..x").tolist()


def test_a_flood_reaches_what_is_joined_by_corners_too():
    mask = _mask("x..x", ".x.x", "....", "x...")
    seeds = _mask("x...", "....", "....", "....")
    assert flooded(mask, seeds).tolist() == _mask("x...", ".x..", "....", "....").tolist()


def test_near_is_within_reach_on_either_side():
    assert near_any(_mask("...x...")[0], 2).tolist() == _mask(".xxxxx.")[0].tolist()


@pytest.mark.parametrize(("step", "is_mark"), [(29, False), (30, True)])
def test_a_mark_is_a_change_by_thirty_levels(step, is_mark):
    planes = np.zeros((1, 1, 5), np.int16).repeat(4, axis=1)
    planes[0, :, 3:] = step
    assert marks_of(planes).any() == is_mark


def test_the_outermost_row_is_held_against_the_next_one():
    planes = np.zeros((1, 4, 4), np.int16)
    planes[0, 0] = 200
    assert marks_of(planes).any(axis=1).tolist() == [True, True, False, False]


@pytest.fixture
def lying(art_of):
    """A side whose art lies at these millimetres of a card of 60 x 84 mm; its edges have a colour each, 1 px a mm."""

    def make(left, bottom, right, top, bleed=3):
        pixels = np.full((top - bottom, right - left, 3), 9, np.uint8)
        pixels[:, :1], pixels[:, -1:], pixels[:1], pixels[-1:] = 1, 2, 3, 4
        box = Box(*map(Fraction, (left, bottom, right, top)))
        fit = Fit(box=box, bleed=Fraction(bleed), make_bleed=MakeBleed.NONE, ppi=None)
        return CardFace(art=replace(art_of(66, 90, mm=True), thumbnail=Thumbnail(picture=pixels)), fit=fit)

    return make


def test_a_strip_begins_at_the_bleed_and_ends_past_the_safe_line(lying, small):
    """3 mm of bleed, 3 mm safe and 1.5 mm more are 7.5 mm: 8 rows of 1 mm."""
    face = lying(-3, -3, 63, 87)
    strips = {strip.edge: strip for strip in strips_of(face, face.art.thumbnail, small)}
    assert {edge: strip.pixels.shape for edge, strip in strips.items()} == {
        Edge.TOP: (3, 8, 66),
        Edge.RIGHT: (3, 8, 90),
        Edge.BOTTOM: (3, 8, 66),
        Edge.LEFT: (3, 8, 90),
    }
    assert {(strip.past_trim_mm, strip.inwards_mm, strip.along_mm) for strip in strips.values()} == {(3, 1, 1)}
    outermost = {edge: int(strip.pixels[0, 0, 40]) for edge, strip in strips.items()}
    assert outermost == {Edge.LEFT: 1, Edge.RIGHT: 2, Edge.TOP: 3, Edge.BOTTOM: 4}


def test_art_that_ends_inside_the_trim_has_no_strip_there(lying, small):
    face = lying(5, 0, 55, 84)
    strips = list(strips_of(face, face.art.thumbnail, small))
    assert [(strip.edge, strip.past_trim_mm) for strip in strips] == [(Edge.TOP, 0), (Edge.BOTTOM, 0)]


def test_art_beyond_the_bleed_is_no_part_of_a_strip(lying, small):
    """10 mm all round, of which 3 are used: 7 mm from the art's edge nothing has the colour of its edge."""
    face = lying(-10, -10, 70, 94)
    for strip in strips_of(face, face.art.thumbnail, small):
        assert strip.past_trim_mm == 3
        assert strip.pixels[0, 0, 40] == 9


def test_what_is_within_the_trim_is_cut_out(lying, small):
    face = lying(-3, -3, 63, 87)
    assert within_trim(face, small).shape == (84, 60, 3)
    assert (within_trim(face, small) == 9).all()
    assert within_trim(lying(5, 0, 55, 84), small).shape == (84, 50, 3)
    assert within_trim(replace(face, art=replace(face.art, thumbnail=None)), small) is None
