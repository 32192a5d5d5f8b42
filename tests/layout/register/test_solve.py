"""Least squares for shift, turn and scale."""

import math

import numpy as np
import pytest

from watcher.layout.register.solve import moved, slopes, solve

CORNERS = np.array([[-90.0, -130.0], [90.0, -130.0], [90.0, 130.0], [-90.0, 130.0], [0.0, 40.0]])
NUMBERS = np.array([0.8, -0.3, math.radians(0.4), 1.002, 0.997])
EVEN = np.ones(len(CORNERS))


def test_the_numbers_that_moved_the_points_are_found_again():
    assert solve(CORNERS, moved(CORNERS, NUMBERS), EVEN, 5) == pytest.approx(NUMBERS, abs=1e-9)


@pytest.mark.parametrize("free", [2, 3])
def test_numbers_that_are_not_fitted_stay_as_for_no_correction(free):
    found = solve(CORNERS, moved(CORNERS, NUMBERS), EVEN, free)
    assert list(found[free:]) == [0.0, 0.0, 0.0, 1.0, 1.0][free:]


def test_a_point_of_greater_weight_pulls_the_shift_to_itself():
    wanted = CORNERS.copy()
    wanted[0] += 1
    light = solve(CORNERS, wanted, EVEN, 2)
    heavy = solve(CORNERS, wanted, np.array([3.0, 1, 1, 1, 1]), 2)
    assert light[:2] == pytest.approx([0.2, 0.2])
    assert heavy[:2] == pytest.approx([9 / 13, 9 / 13])


def test_points_are_scaled_then_turned_then_shifted():
    quarter = np.array([10.0, 0.0, math.pi / 2, 2.0, 3.0])
    assert moved(np.array([[1.0, 1.0]]), quarter)[0] == pytest.approx([10 - 3, 2])


def test_slopes_are_the_change_of_a_point_with_each_number():
    step = 1e-7
    none = np.array([0.0, 0.0, 0.0, 1.0, 1.0])
    for number in range(5):
        change = (moved(CORNERS, none + step * np.eye(5)[number]) - CORNERS) / step
        assert slopes(CORNERS)[:, number] == pytest.approx(change.reshape(-1), abs=1e-4)
