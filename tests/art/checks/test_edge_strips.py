"""Strips of pixels along an edge, and the marks in them."""

import numpy as np

from watcher.art.checks.edge_strips import flooded, marks_of, near_any, pooled, runs_of


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
