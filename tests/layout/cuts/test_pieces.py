"""Pieces of a sheet while it is parted: what a cut at a line takes off."""

import pytest

from watcher.layout.cuts.pieces import Axis, Piece
from watcher.layout.whole_numbers import WholeBox

SHEET = WholeBox(0, 0, 100, 60)
LEFT, RIGHT = WholeBox(10, 10, 45, 50), WholeBox(55, 10, 90, 50)


@pytest.mark.parametrize(("line", "is_rim"), [(10, True), (45, False), (55, False), (90, True)])
def test_a_cut_at_the_outer_edge_of_the_cards_takes_off_waste_alone(line, is_rim):
    assert Piece(SHEET, (LEFT, RIGHT)).is_rim(Axis.X, line) is is_rim


def test_a_line_through_a_card_cannot_be_cut_and_one_along_it_can():
    piece = Piece(SHEET, (LEFT, RIGHT))
    assert [line for line in (0, 10, 30, 45, 50, 55, 90, 100) if piece.can_be_cut(Axis.X, line)] == [10, 45, 50, 55, 90]
