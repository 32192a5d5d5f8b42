"""Backs derived a second time, by turning sheet and card in space with 3-D rotations (numpy, Rodrigues' formula).

What the flips mean is RFC 8011 5.2.8: the pair reads right when the sheet is turned on that edge. So the sheet is
turned half round about an axis through its centre, parallel to that edge; the back page is what the reader then sees.
"""

from fractions import Fraction

import numpy as np
import pytest

from watcher.layout.backs import point_behind, turn_behind
from watcher.layout.geometry import Point, Size
from watcher.terms import Backs, Flip, Turn

SHEETS = [Size(Fraction("215.9"), Fraction("279.4")), Size(Fraction(297), Fraction(210))]
X, Y, Z = np.eye(3)


def _rotate(axis, degrees):
    """Rotation matrix about a unit axis, counter-clockwise seen from its tip."""
    cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    angle = np.radians(degrees)
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross


def _turn_of_sheet(sheet, flip):
    upright_edge_is_long = sheet.height > sheet.width
    return _rotate(Y if (flip is Flip.LONG_EDGE) == upright_edge_is_long else X, 180)


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("flip", Flip)
def test_points_lie_where_a_sheet_turned_in_space_shows_them(sheet, flip):
    centre = np.array([float(sheet.width) / 2, float(sheet.height) / 2, 0])
    for x, y in [(0, 0), (20, 190), (101.5, 33)]:
        seen = _turn_of_sheet(sheet, flip) @ (np.array([x, y, 0]) - centre) + centre
        ours = point_behind(Point(Fraction(x), Fraction(y)), sheet, flip)
        assert (float(ours.x), float(ours.y)) == pytest.approx(tuple(seen[:2]))


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("flip", Flip)
@pytest.mark.parametrize("backs", Backs)
@pytest.mark.parametrize("turn", Turn)
def test_a_card_cut_out_and_turned_reads_upright_on_its_back(sheet, flip, backs, turn):
    """Head-to-head cards are turned about their own upright axis, head-to-toe ones about their level axis."""
    card_right, card_up = _rotate(Z, turn) @ X, _rotate(Z, turn) @ Y
    card_turn = _rotate(card_up if backs is Backs.HEAD_TO_HEAD else card_right, 180)
    # The direction in the paper that points up, as the card's reader sees it, once the card has been turned.
    back_up_in_paper = card_turn.T @ card_up
    back_up_on_page = _turn_of_sheet(sheet, flip) @ back_up_in_paper
    wanted = np.degrees(np.arctan2(-back_up_on_page[0], back_up_on_page[1])) % 360
    assert turn_behind(turn, sheet, flip, backs) == round(wanted) % 360
