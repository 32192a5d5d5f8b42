"""The expected picture of a face, made from the art itself."""

from fractions import Fraction

import numpy as np
import pytest

from watcher.layout.geometry import Box, Size
from watcher.sheet.check.expected import expected_face
from watcher.terms import MakeBleed

TRIM = Size(Fraction(30), Fraction(42))
BLEED = Fraction(3)


@pytest.fixture
def without_bleed(face_of, colours):
    """Art that ends at the trim, its bleed made in one way."""
    box = Box.at(Fraction(0), Fraction(0), TRIM)
    return lambda make_bleed: face_of(colours(60, 84), TRIM, bleed=BLEED, box=box, make_bleed=make_bleed)


def test_art_at_its_own_resolution_is_expected_pixel_for_pixel(face_of, colours):
    pixels = colours(60, 84)
    found = expected_face(face_of(pixels, TRIM), TRIM, 2.0)
    assert found.per_mm == 2
    assert np.array_equal(found.canvas, pixels)


def test_every_colour_lies_between_the_darkest_and_the_lightest_near_it(face_of, colours):
    found = expected_face(face_of(colours(60, 84), TRIM), TRIM, 2.0)
    darkest, lightest = np.asarray(found.darkest), np.asarray(found.lightest)
    picture = np.asarray(found.picture)
    assert (darkest <= lightest).all()
    assert ((darkest <= picture + 8) & (picture <= lightest.astype(int) + 8)).mean() > 0.95


@pytest.mark.parametrize(("make_bleed", "mode"), [(MakeBleed.MIRROR, "symmetric"), (MakeBleed.EXTEND, "edge")])
def test_made_bleed_is_a_reflection_or_the_edge_again(without_bleed, colours, make_bleed, mode):
    found = expected_face(without_bleed(make_bleed), TRIM, 2.0)
    assert np.array_equal(found.canvas, np.pad(colours(60, 84), ((6, 6), (6, 6), (0, 0)), mode))


def test_without_made_bleed_there_is_paper(without_bleed):
    canvas = expected_face(without_bleed(MakeBleed.NONE), TRIM, 2.0).canvas
    assert (canvas[:6] == 255).all()
    assert (canvas[:, -6:] == 255).all()


def test_a_finer_rendering_may_be_as_far_off_as_a_coarse_one(face_of):
    """0.35 mm: three pixels at 10 for a mm, since the renderer stretches a picture by up to two whole pixels."""
    halves = np.zeros((420, 300, 3), np.uint8)
    halves[:, 150:] = 255
    lightest = np.asarray(expected_face(face_of(halves, TRIM), TRIM, 10.0).lightest)
    assert (lightest[:, 148] == 255).all()
    assert (lightest[:, :144] == 0).all()
