"""Plain grids and how many cuts part them."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Box, Size
from watcher.layout.pattern import best_plain_grid, grid_cut_lines, plain_grid
from watcher.terms import Turn

ROOM = Size(Fraction(100), Fraction(70))


@pytest.mark.parametrize(("gutter", "cuts"), [(0, 3 + 4 + 2), (6, 2 * 3 + 2 * 4)])
def test_a_grid_takes_the_cuts_the_trade_counts(gutter, cuts):
    """Knife strokes: (n + 1) + (m + 1) shared, 2n + 2m with gutters (calculated; common practice, no other source)."""
    assert grid_cut_lines(3, 4, Fraction(gutter)) == cuts


def test_cards_with_their_gutters_fill_a_room_to_the_last_unit():
    grid = plain_grid(ROOM, Size(Fraction(30), Fraction(70)), Fraction(5), Turn.NONE)
    assert [box for box, _ in grid.trims()] == [
        Box(Fraction(left), Fraction(0), Fraction(left + 30), Fraction(70)) for left in (0, 35, 70)
    ]


def test_a_card_a_hair_too_wide_does_not_fit():
    assert plain_grid(ROOM, Size(Fraction("100.0001"), Fraction(70)), Fraction(0), Turn.NONE).up == 0


def test_the_turned_grid_wins_by_more_cards():
    grid = best_plain_grid(ROOM, Size(Fraction(35), Fraction(50)), Fraction(0))
    assert (grid.up, grid.turned) == (4, 4)


def test_of_two_grids_that_hold_as_many_the_one_with_fewer_cuts_wins():
    grid = best_plain_grid(Size(Fraction(60), Fraction(40)), Size(Fraction(60), Fraction(10)), Fraction(0))
    assert (grid.up, grid.turned, grid.cut_lines) == (4, 0, 7)


def test_of_two_equal_grids_the_upright_one_wins():
    grid = best_plain_grid(Size(Fraction(60), Fraction(60)), Size(Fraction(30), Fraction(20)), Fraction(0))
    assert (grid.up, grid.turned) == (6, 0)
