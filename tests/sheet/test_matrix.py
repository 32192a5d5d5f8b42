from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.layout.geometry import Box
from watcher.sheet.matrix import Matrix, box_in_points, clip_to, moved, scaled, show, turned, turned_into
from watcher.terms import Turn


def as_numpy(matrix: Matrix) -> np.ndarray:
    """The 3 x 3 of ISO 32000-1 8.3.4, for row vectors."""
    a, b, c, d, e, f = (float(value) for value in (matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f))
    return np.array([[a, b, 0], [c, d, 0], [e, f, 1]])


numbers = st.fractions(-100, 100, max_denominator=50)
matrices = st.builds(Matrix, *[numbers] * 6)


@given(first=matrices, second=matrices)
def test_one_after_the_other_is_the_matrix_product(first, second):
    assert np.allclose(as_numpy(first.then(second)), as_numpy(first) @ as_numpy(second))


@pytest.mark.parametrize("turn", list(Turn))
def test_a_turn_is_counter_clockwise(turn):
    angle = np.radians(turn)
    east = np.array([1, 0, 1]) @ as_numpy(turned(turn))
    assert np.allclose(east, [np.cos(angle), np.sin(angle), 1])


@pytest.mark.parametrize("turn", list(Turn))
def test_a_turned_thing_fills_its_box(turn):
    """A thing of 2 x 1 inches, which are 144 x 72 points."""
    size = (Fraction("50.8"), Fraction("25.4"))
    width, height = size[::-1] if turn.swaps_sides else size
    box = Box(Fraction(10), Fraction(20), Fraction(10) + width, Fraction(20) + height)
    corners = np.array([[0, 0, 1], [144, 0, 1], [144, 72, 1], [0, 72, 1]]) @ as_numpy(turned_into(box, turn))
    left, bottom, right, top = (float(value) for value in box_in_points(box))
    assert np.allclose([corners[:, 0].min(), corners[:, 1].min()], [left, bottom])
    assert np.allclose([corners[:, 0].max(), corners[:, 1].max()], [right, top])


@pytest.mark.parametrize(
    ("value", "text"),
    [(Fraction(1, 3), "0.333333333"), (Fraction(-5, 2), "-2.5"), (Fraction(0), "0"), (Fraction(-1, 10**12), "0"),
     (Fraction(10**6), "1000000"), (Fraction(1, 10**9), "0.000000001")],
)  # fmt: skip
def test_numbers_are_written_without_exponent_or_needless_zeros(value, text):
    assert show(value) == text


@given(st.fractions(-2000, 2000))
def test_a_written_number_is_right_to_a_billionth(value):
    assert abs(Fraction(show(value)) - value) <= Fraction(1, 10**9)


def test_a_clip_is_a_rectangle_in_points():
    """One inch is 72 points."""
    assert clip_to(Box(Fraction("25.4"), Fraction(0), Fraction("50.8"), Fraction("12.7"))) == "72 0 72 36 re W n"


def test_moves_and_scales_are_what_they_say():
    point = np.array([3, 5, 1]) @ as_numpy(scaled(Fraction(2), Fraction(-1)).then(moved(Fraction(1), Fraction(2))))
    assert point.tolist() == [7, -3, 1]
