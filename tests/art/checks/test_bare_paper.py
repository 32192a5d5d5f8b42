"""White paper, or one flat colour, along the edges of a card."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from watcher.art.checks.bare_paper import bare_edges, edge_colour
from watcher.art.fit import fit_art
from watcher.art.model import CardFace, Thumbnail


@pytest.fixture
def face(art_of, card):
    """A side of a card of 60 x 84 mm with 3 mm of bleed, 1 pixel a mm, of these pixels."""

    def make(pixels):
        settings = card(trim="60 x 84 mm", bleed="3 mm", warn_ppi=20, hold_ppi=10)
        art = replace(art_of(66, 90, mm=True), thumbnail=Thumbnail(picture=pixels))
        return CardFace(art=art, fit=fit_art(art, settings)[0]), settings

    return make


def _paper(colour=255):
    return np.full((90, 66, 3), colour, np.uint8)


def test_the_first_ink_inside_each_edge_of_the_trim_is_measured(face):
    pixels = _paper()
    pixels[13:77, 8:58] = 0
    margins = bare_edges(*face(pixels))
    assert (margins.left, margins.top) == (Fraction(5), Fraction(10))
    assert (margins.right, margins.bottom) == (Fraction(5), Fraction(10))


def test_a_blank_side_is_bare_all_over(face):
    assert bare_edges(*face(_paper())).left == 60


def test_art_that_cannot_be_looked_at_counts_as_inked(face):
    one, card = face(_paper())
    assert bare_edges(replace(one, art=replace(one.art, thumbnail=None)), card).left == 0


def test_one_flat_colour_along_the_edges_is_found(face):
    pixels = _paper(40)
    pixels[20:40, 20:40] = 200
    assert edge_colour(*face(pixels)) == (40, 40, 40)


@pytest.mark.parametrize(("row", "colour"), [(4, None), (9, (40, 40, 40))])
def test_what_stands_as_near_inside_the_trim_as_the_bleed_is_wide_counts(face, row, colour):
    """3 mm of bleed outside of the trim and 3 mm inside: 6 rows of 1 mm."""
    pixels = _paper(40)
    pixels[row : row + 2, 20:40] = 200
    assert edge_colour(*face(pixels)) == colour


def test_two_colours_along_the_edges_are_none(face):
    pixels = _paper(40)
    pixels[:45] = 200
    assert edge_colour(*face(pixels)) is None
