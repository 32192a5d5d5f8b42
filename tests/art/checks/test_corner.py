"""The safe zone follows a rounded corner."""

from fractions import Fraction

import numpy as np
import pytest

from watcher.art.checks.corner import depth_at_corner, rounded_corners
from watcher.art.model import Art, CardFace, Fit, ImageStream, Raster, Thumbnail
from watcher.layout.geometry import Box, Size
from watcher.settings.card import CardSettings
from watcher.settings.printer import PrinterSettings
from watcher.terms import MakeBleed, Side

PX_A_MM = 6
CARD = Size(Fraction(100), Fraction(60))
PRINTER = PrinterSettings(name="printer")


def _face(picture, bleed=0):
    """Art that shows the picture: the card with so much bleed, mm, at 6 px a millimetre."""
    height, width = picture.shape[:2]
    stream = ImageStream(
        data=b"", filter="/FlateDecode", predictor=15, width_px=width, height_px=height, bits=8, colours=3
    )
    art = Art(
        side=Side.FRONT,
        file="a.png",
        sha256="0" * 64,
        extent=Size(Fraction(width), Fraction(height)),
        width_px=width,
        height_px=height,
        content=Raster(stream=stream),
        thumbnail=Thumbnail(picture=picture),
    )
    box = Box.at(Fraction(0), Fraction(0), CARD).grown(Fraction(bleed))
    return CardFace(art=art, fit=Fit(box=box, bleed=Fraction(bleed), make_bleed=MakeBleed.NONE, ppi=None))


def _blank(bleed=0, colour=(255, 255, 255)):
    size = CARD.grown(Fraction(bleed))
    return np.full((int(size.height * PX_A_MM), int(size.width * PX_A_MM), 3), colour, np.uint8)


def _framed(inset_mm):
    """White with a dark filled box whose square corners lie so far from both edges."""
    picture = _blank()
    inset = int(inset_mm * PX_A_MM)
    picture[inset:-inset, inset:-inset] = (40, 60, 90)
    return picture


def _said(picture, corner=6, bleed=0):
    card = CardSettings(name="card", trim=CARD, sheet="s", corner=Fraction(corner), bleed=Fraction(bleed))
    return [finding.message for finding in rounded_corners(_face(picture, bleed), card, PRINTER)]


def test_ink_three_millimetres_in_is_nearer_to_a_corner_of_six():
    """6 - sqrt(2) x 3 = 1.757 mm."""
    assert depth_at_corner(np.array(3.0), np.array(3.0), 6.0) == pytest.approx(1.757, abs=0.001)


@pytest.mark.parametrize(("x", "y", "depth"), [(6, 6, 6), (2, 30, 2), (30, 2, 2), (0, 6, 0), (0, 0, -2.485), (7, 3, 3)])
def test_depth_inside_the_cut(x, y, depth):
    """Worked out by hand: r - sqrt((r - x)^2 + (r - y)^2) in the round, the nearer edge elsewhere."""
    assert depth_at_corner(np.array(float(x)), np.array(float(y)), 6.0) == pytest.approx(depth, abs=0.001)


def test_a_square_frame_three_millimetres_in_is_told():
    (said,) = _said(_framed(3))
    assert "about 1.8 mm from a corner that will be rounded to 6 mm; 3 mm are wanted" in said


@pytest.mark.parametrize("inset", [4.5, 8])
def test_what_keeps_away_from_the_corner_is_not(inset):
    """4.5 mm in from both edges is 3.88 mm from the corner."""
    assert _said(_framed(inset)) == []


def test_square_corners_are_not_looked_at():
    assert _said(_framed(3), corner=0) == []


def test_a_small_corner_takes_nothing_away():
    """3 mm in is 2.59 mm from a corner of 4 mm, which is 0.4 mm less; of 2 mm nothing."""
    assert _said(_framed(3), corner=2) == []


@pytest.mark.parametrize("corner", range(4))
def test_every_corner_is_looked_at(corner):
    picture = _blank()
    y, x = (18 if corner // 2 else -26), (18 if corner % 2 else -26)
    picture[y : y + 8, x : x + 8] = 0
    assert len(_said(picture)) == 1


def test_what_runs_out_over_the_corner_is_bleed():
    rows, columns = np.indices(_blank(3).shape[:2])
    stripes = _blank(3)
    stripes[(rows + columns) // 12 % 2 == 0] = (200, 40, 40)
    assert _said(stripes, bleed=3) == []


def test_a_plain_ground_says_nothing():
    assert _said(_blank(3, (10, 80, 60)), bleed=3) == []
