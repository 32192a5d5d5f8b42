"""Averages and extremes over neighbouring pixels."""

import numpy as np
import pytest

from watcher.sheet.check.neighbours import averaged, extreme_around, extreme_within


def dot(size=9, value=255):
    pixels = np.zeros((size, size, 3), np.uint8)
    pixels[size // 2, size // 2] = value
    return pixels


def test_an_even_field_stays_as_it_is():
    even = np.full((5, 6, 3), 77, np.uint8)
    assert np.array_equal(averaged(even, (1, 2, 1)), even)


def test_a_dot_is_spread_by_the_weights_both_ways():
    found = averaged(dot(value=160), (1, 2, 1))[:, :, 0]
    assert [list(row) for row in found[3:6, 3:6]] == [[10, 20, 10], [20, 40, 20], [10, 20, 10]]


@pytest.mark.parametrize("reach", [0, 1, 2, 3, 4])
def test_the_greatest_within_a_reach_is_a_square_about_a_dot(reach):
    found = extreme_within(dot(), reach, np.maximum)[:, :, 0] > 0
    square = np.zeros((9, 9), bool)
    square[4 - reach : 5 + reach, 4 - reach : 5 + reach] = True
    assert np.array_equal(found, square)


def test_the_least_is_found_as_the_greatest_is():
    assert np.array_equal(255 - extreme_within(255 - dot(), 2, np.minimum), extreme_within(dot(), 2, np.maximum))


def test_a_step_leaves_out_what_lies_between():
    found = extreme_around(dot(), np.maximum, step=3)[:, :, 0] > 0
    assert list(found[4].nonzero()[0]) == [1, 4, 7]
