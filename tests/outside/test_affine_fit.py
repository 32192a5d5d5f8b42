"""The correction against the affine fit of a worked machine, numpy's lstsq and scipy's least squares.

The worked machine (invented by us): A4 portrait, marks at 10/200 x 10/287 mm; rotation 0.10 degrees, scale x
1.0010, y 0.9985, shift +0.80, -0.50 mm; what is meant for p lands at A p + t. A gauge on the back reads where the marks
have landed, back minus front; a pin reads what the page has under it there, front minus back.
"""

from fractions import Fraction

import numpy as np
import pytest

from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import correction_matrix
from watcher.layout.register.fit import expected, fit_register
from watcher.layout.register.readings import Reading

A4 = Size(Fraction(210), Fraction(297))
MM_PER_POINT = 25.4 / 72
MARKS = np.array([(10.0, 10.0), (200.0, 10.0), (10.0, 287.0), (200.0, 287.0)])
MEASURED = np.array([(10.7926, 9.5025), (200.9823, 9.8344), (10.3098, 286.0865), (200.4995, 286.4185)])
A_BY_LSTSQ = np.array([[1.0009985, -0.0017427], [0.0017471, 0.9984985]])
T_BY_LSTSQ = np.array([0.80000, -0.50000])
COMMANDS = np.array([(9.2091, 10.4997), (199.0190, 10.1676), (9.6921, 287.9154), (199.5020, 287.5833)])
CM_EXACT = (0.99899948, -0.00174795, 0.00174358, 1.00150073, -2.26297641, 1.42341371)
CM_ROUNDED = (0.99894563, -0.00157956, 0.00180576, 1.00144328, -2.28406529, 1.42681369)
ERROR_AFTER_ROUNDED = 0.0342


@pytest.fixture(scope="session")
def least_squares():
    """Scipy's; loaded when it is asked: it would take each process of the tests a second."""
    from scipy.optimize import least_squares

    return least_squares


def affine(points, onto):
    """Numpy's own least squares: matrix and offset."""
    solved = np.linalg.lstsq(np.column_stack((points, np.ones(len(points)))), onto, rcond=None)[0]
    return solved[:2].T, solved[2]


def pins(matrix, offset, marks=MARKS):
    """What pins read on this machine: the point of the page that has landed on p, less p."""
    return (np.linalg.inv(matrix) @ (marks - offset).T).T - marks


def readings(values, marks=MARKS):
    return [
        Reading(
            mark=number,
            place=Point(Fraction(place[0]), Fraction(place[1])),
            right=Fraction(value[0]),
            up=Fraction(value[1]),
        )
        for number, (place, value) in enumerate(zip(marks, values, strict=True), start=1)
    ]


def drawn(matrix, points):
    """Where the PDF operator puts points, mm."""
    a, b, c, d, e, f = matrix
    points = np.asarray(points) / MM_PER_POINT
    return (points @ np.array([[a, b], [c, d]]) + (e, f)) * MM_PER_POINT


def test_the_worked_measurements_are_the_worked_machine():
    matrix, offset = affine(MARKS, MEASURED)
    assert matrix == pytest.approx(A_BY_LSTSQ, abs=1e-6)
    assert offset == pytest.approx(T_BY_LSTSQ, abs=1e-4)
    assert pins(matrix, offset) + MARKS == pytest.approx(COMMANDS, abs=1e-4)


@pytest.mark.parametrize(("measured", "cm"), [(MEASURED, CM_EXACT), (np.round(MEASURED, 1), CM_ROUNDED)])
def test_our_operator_draws_every_mark_where_the_worked_one_does(measured, cm):
    """Ours has no shear: 0.001 mm for exact readings; the rounded ones hold a shear of 0.02 mm."""
    correction = fit_register([readings(pins(*affine(MARKS, measured)))], A4).correction
    ours, worked = drawn(correction_matrix(correction, A4), MARKS), drawn(cm, MARKS)
    assert np.abs(ours - worked).max() < (0.0015 if cm is CM_EXACT else 0.03)


@pytest.mark.parametrize(("measured", "most"), [(MEASURED, 0.002), (np.round(MEASURED, 1), ERROR_AFTER_ROUNDED)])
def test_the_worked_machine_then_prints_in_register(measured, most):
    correction = fit_register([readings(pins(*affine(MARKS, measured)))], A4).correction
    landed = drawn(correction_matrix(correction, A4), MARKS) @ A_BY_LSTSQ.T + T_BY_LSTSQ
    assert np.hypot(*(landed - MARKS).T).max() <= most + 0.001


def test_the_gauge_taken_for_the_pin_would_double_the_error():
    """What the sign rule is there for: back minus front has the other sign."""
    wrong = fit_register([readings(MEASURED - MARKS)], A4).correction
    landed = drawn(correction_matrix(wrong, A4), MARKS) @ A_BY_LSTSQ.T + T_BY_LSTSQ
    before = np.hypot(*(MEASURED - MARKS).T)
    assert np.hypot(*(landed - MARKS).T) == pytest.approx(2 * before, rel=0.02)


def left_by(numbers, marks, values):
    """What five numbers leave of all readings, for scipy."""
    right, up, turn, across, high = numbers
    linear = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]) @ np.diag([across, high])
    centre = np.array([105, 148.5])
    return ((marks - centre) @ linear.T + centre + (right, up) - marks - values).ravel()


@pytest.mark.parametrize("seed", range(8))
def test_scipy_finds_no_better_correction(seed, least_squares):
    """Noisy readings of six marks on three sheets, some left out; scipy starts elsewhere and goes by another method."""
    chance = np.random.default_rng(seed)
    marks = np.array([(x, y) for y in (277, 148.5, 20) for x in (24.85, 185.15)])
    skewed = (marks - (105, 148.5)) @ chance.normal(0, 0.001, (2, 2))
    sheets = [chance.normal((0.8, -0.4), 0.1, marks.shape) + skewed for _ in range(3)]
    read = [readings(values, marks) for values in sheets]
    read[1] = read[1][: 2 + seed % 4]
    correction = fit_register(read, A4).correction

    flat = [one for sheet in read for one in sheet]
    places = np.array([(float(one.place.x), float(one.place.y)) for one in flat])
    values = np.array([(float(one.right), float(one.up)) for one in flat])
    start, exactly = (0.1, 0.1, 0.001, 1.001, 0.999), {"xtol": 1e-15, "ftol": 1e-15, "gtol": 1e-15}
    best = least_squares(left_by, start, args=(places, values), method="trf", **exactly)
    theirs = left_by(best.x, marks, np.zeros_like(marks)).reshape(-1, 2)
    ours = [expected(Point(Fraction(x), Fraction(y)), correction, A4) for x, y in marks]
    assert np.abs(np.array(ours) - theirs).max() < 1e-4


def test_two_marks_agree_with_scipy_too(least_squares):
    """Shift and turn alone, where the marks cannot both be met."""
    marks, values = MARKS[[0, 3]], np.array([(0.5, -0.2), (0.9, 0.3)])
    correction = fit_register([readings(values, marks)], A4).correction
    best = least_squares(lambda three: left_by((*three, 1, 1), marks, values), (0, 0, 0), xtol=1e-15, ftol=1e-15)
    found = (float(correction.shift.x), float(correction.shift.y), np.radians(correction.turn_degrees))
    assert found == pytest.approx(tuple(best.x), abs=1e-6)
