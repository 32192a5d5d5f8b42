"""Where on a side each finding is to be seen."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from watcher.art.checks.spots import Mark, spots_of
from watcher.art.model import CardFace, Fit, Thumbnail
from watcher.layout.geometry import Box
from watcher.terms import MakeBleed

K = 10  # px a millimetre


@pytest.fixture
def face_of(art_of):
    """White art on 60 x 84 mm that lies in a box (mm), with black boxes in mm from the art's upper left."""

    def make(*boxes, box=(-3, -3, 63, 87)):
        left, bottom, right, top = box
        pixels = np.full(((top - bottom) * K, (right - left) * K, 3), 255, np.uint8)
        for x, y, to_x, to_y in boxes:
            pixels[round(y * K) : round(to_y * K), round(x * K) : round(to_x * K)] = 0
        fit = Fit(box=Box(*map(Fraction, box)), bleed=Fraction(3), make_bleed=MakeBleed.NONE, ppi=Fraction(254))
        art = replace(art_of(pixels.shape[1], pixels.shape[0]), thumbnail=Thumbnail(picture=pixels))
        return CardFace(art=art, fit=fit)

    return make


@pytest.mark.parametrize(
    ("ink", "centre"),
    [
        ((5, 30, 20, 34), (1.5, 55)),  # 2 mm inside the left cut, 27 to 31 mm below the upper one
        ((50, 30, 61, 34), (58.5, 55)),
        ((30, 5, 40, 20), (32, 82.5)),
        ((30, 70, 40, 85), (32, 1.5)),
    ],
)
def test_what_stands_near_the_cut_is_found_where_it_stands(face_of, small, ink, centre):
    (spot,) = spots_of("safe-zone", face_of(ink), small)
    assert spot.mark is Mark.RING
    assert (float(spot.box.centre.x), float(spot.box.centre.y)) == pytest.approx(centre, abs=0.8)


def test_what_crosses_the_cut_is_another_spot(face_of, small):
    face = face_of((1.5, 30, 20, 34), (50, 30, 61, 34))
    across, near = (spots_of(code, face, small) for code in ("across-the-cut", "safe-zone"))
    assert max(spot.box.right for spot in across) < 10
    assert min(spot.box.left for spot in near) > 50


def test_a_blank_side_is_a_spot_as_large_as_the_card(face_of, small):
    (spot,) = spots_of("blank-side", face_of(), small)
    assert (spot.mark, spot.box) == (Mark.FRAME, Box(*map(Fraction, (0, 0, 60, 84))))


def test_art_that_is_too_wide_is_cut_off_at_both_sides(face_of, small):
    cut = spots_of("shape-mismatch", face_of(box=(-10, -3, 70, 87)), small)
    assert {spot.mark for spot in cut} == {Mark.CUT_OFF}
    assert {(int(spot.box.left), int(spot.box.right)) for spot in cut} == {(-10, -3), (63, 70)}


def test_art_that_is_too_small_leaves_the_card_bare(face_of, small):
    bare = spots_of("shape-mismatch", face_of(box=(10, 0, 50, 84)), small)
    assert {(spot.mark, int(spot.box.left), int(spot.box.right)) for spot in bare} == {
        (Mark.BARE, 0, 10),
        (Mark.BARE, 50, 60),
    }


def test_what_is_about_no_place_has_none(face_of, small):
    assert spots_of("fonts-missing", face_of((5, 30, 20, 34)), small) == ()


def boxes(spots):
    return {tuple(map(float, (spot.box.left, spot.box.bottom, spot.box.right, spot.box.top))) for spot in spots}


@pytest.mark.parametrize(
    ("ink", "left_bottom_right_top"),
    [
        ((1.5, 30, 20, 31), (-3, 56, 3, 57)),  # past the trim as far as the art, inside as far as the safe zone
        ((46, 30, 64.5, 31), (57, 56, 63, 57)),
        ((30, 1.5, 31, 20), (27, 81, 28, 87)),
        ((30, 70, 31, 88.5), (27, -3, 28, 3)),
    ],
)
def test_what_crosses_the_cut_is_marked_on_both_sides_of_it(face_of, small, ink, left_bottom_right_top):
    """By hand: the art begins 3 mm left of the trim and 87 mm above its foot."""
    (found,) = boxes(spots_of("across-the-cut", face_of(ink), small))
    assert found == pytest.approx(left_bottom_right_top, abs=0.6)


def test_two_things_at_one_edge_are_two_spots(face_of, small):
    found = spots_of("safe-zone", face_of((5, 20, 20, 24), (5, 60, 20, 64)), small)
    assert sorted(round(float(spot.box.centre.y)) for spot in found) == [25, 65]


def test_art_that_stands_over_on_all_sides_is_marked_once_at_each_corner(face_of, small):
    """66 x 90 mm are kept of 80 x 110: left and right whole, above and below what is between."""
    found = boxes(spots_of("bleed-unclear", face_of(box=(-10, -13, 70, 97)), small))
    assert found == {(-10, -13, -3, 97), (63, -13, 70, 97), (-3, 87, 63, 97), (-3, -13, 63, -3)}


def test_what_rounding_leaves_is_no_spot(face_of, small):
    face = face_of()
    for over, count in ((Fraction(1, 10), 0), (Fraction(11, 100), 4)):
        box = Box(*map(Fraction, (-3, -3, 63, 87))).grown(over)
        assert len(spots_of("shape-mismatch", replace(face, fit=replace(face.fit, box=box)), small)) == count
