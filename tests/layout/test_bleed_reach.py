"""How far bleed reaches; figures worked out by hand."""

from fractions import Fraction

from watcher.layout.bleed_reach import bleed_boxes
from watcher.layout.geometry import Box, Size

SHEET = Size(Fraction(200), Fraction(200))


def _box(*edges):
    return Box(*(Fraction(edge) for edge in edges))


def _bleeds(*trims, bleed=3):
    return bleed_boxes([_box(*trim) for trim in trims], Fraction(bleed), SHEET)


def test_a_lone_card_bleeds_all_round():
    assert _bleeds((50, 50, 100, 80)) == [_box(47, 47, 103, 83)]


def test_a_gutter_of_twice_the_bleed_clips_nothing():
    assert _bleeds((50, 50, 80, 80), (86, 50, 116, 80)) == [_box(47, 47, 83, 83), _box(83, 47, 119, 83)]


def test_in_a_narrower_gutter_bleed_ends_in_the_middle():
    assert _bleeds((50, 50, 80, 80), (82, 50, 112, 80)) == [_box(47, 47, 81, 83), _box(81, 47, 115, 83)]


def test_cards_that_share_a_cut_share_no_bleed():
    assert _bleeds((50, 50, 80, 80), (50, 80, 80, 110)) == [_box(47, 47, 83, 80), _box(47, 80, 83, 113)]


def test_a_neighbour_half_beside_ends_the_whole_of_that_side():
    assert _bleeds((50, 50, 80, 80), (82, 70, 112, 99))[0] == _box(47, 47, 81, 83)


def test_cards_corner_to_corner_give_way_where_they_are_farther_apart():
    assert _bleeds((50, 50, 80, 80), (84, 82, 112, 99))[0] == _box(47, 47, 82, 83)


def test_the_edge_of_the_sheet_ends_all_bleed():
    assert _bleeds((1, 150, 50, 199)) == [_box(0, 147, 53, 200)]
