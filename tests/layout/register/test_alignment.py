"""The correction matrix, against numpy and a worked fit."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction, correction_matrix, is_identity

A4 = Size(Fraction(210), Fraction(297))
POINTS_PER_MM = 72 / 25.4  # 1 pt = 1/72 in, 1 in = 25.4 mm


def _apply(matrix, x_mm, y_mm):
    a, b, c, d, e, f = matrix
    x, y = x_mm * POINTS_PER_MM, y_mm * POINTS_PER_MM
    return (a * x + c * y + e) / POINTS_PER_MM, (b * x + d * y + f) / POINTS_PER_MM


@given(*[st.floats(-5, 5)] * 3, *[st.floats(0.98, 1.02)] * 2, st.tuples(st.floats(0, 210), st.floats(0, 297)))
def test_it_scales_then_turns_about_the_centre_then_shifts(right, up, degrees, scale_x, scale_y, point):
    shift = Point(Fraction(right), Fraction(up))
    correction = Correction(shift=shift, turn_degrees=degrees, scale_x=scale_x, scale_y=scale_y)
    angle, centre = np.radians(degrees), np.array([105, 148.5])
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    wanted = centre + turn @ np.diag([scale_x, scale_y]) @ (np.array(point) - centre) + np.array([right, up])
    assert _apply(correction_matrix(correction, A4), *point) == pytest.approx(tuple(wanted), abs=1e-9)


def test_it_agrees_with_the_worked_fit():
    """By numpy's lstsq: the `cm` that undoes 0.10 degrees, scales 1.0010 and 0.9985, shift +0.80, -0.50 (A4 portrait).

    There the turn comes before the scale, here after; at a tenth of a degree the two differ by 0.001 mm at the most.
    """
    worked = (0.99899948, -0.00174795, 0.00174358, 1.00150073, -2.26297641, 1.42341371)
    moved = np.array(_apply(worked, 105, 148.5)) - (105, 148.5)
    correction = Correction(
        shift=Point(*(Fraction(way) for way in moved)), turn_degrees=-0.1, scale_x=1 / 1.0010, scale_y=1 / 0.9985
    )
    ours = correction_matrix(correction, A4)
    for corner in [(10, 10), (200, 10), (10, 287), (200, 287)]:
        assert _apply(ours, *corner) == pytest.approx(_apply(worked, *corner), abs=0.001)


def test_the_centre_moves_by_the_shift_alone():
    correction = Correction(shift=Point(Fraction("0.8"), Fraction("-0.5")), turn_degrees=0.3, scale_x=1.001)
    assert _apply(correction_matrix(correction, A4), 105, 148.5) == pytest.approx((105.8, 148))


def test_a_turn_to_the_left_lifts_the_right_edge():
    _, y = _apply(correction_matrix(Correction(turn_degrees=0.1), A4), 210, 148.5)
    assert y - 148.5 == pytest.approx(0.1833, abs=0.0001)  # 105 mm x sin 0.1 degrees


def test_no_correction_changes_nothing():
    assert correction_matrix(Correction(), A4) == (1, 0, 0, 1, 0, 0)


@pytest.mark.parametrize(
    ("correction", "nothing"),
    [(None, True), (Correction(), True), (Correction(turn_degrees=0.01), False), (Correction(scale_y=1.001), False)],
)
def test_a_correction_that_moves_no_point_is_told(correction, nothing):
    assert is_identity(correction) is nothing
