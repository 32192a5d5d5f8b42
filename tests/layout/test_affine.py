"""Matrices of six numbers."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from watcher.layout.affine import IDENTITY, applied, product

WHOLE = st.integers(-50, 50).map(Fraction)
MATRICES = st.tuples(*[WHOLE] * 6)


@given(first=MATRICES, then=MATRICES, x=WHOLE, y=WHOLE)
def test_a_product_does_the_first_and_then_the_other(first, then, x, y):
    assert applied(product(first, then), x, y) == applied(then, *applied(first, x, y))


def test_the_identity_moves_nothing():
    shift = (1.0, 0.0, 0.0, 1.0, 5.0, 7.0)
    assert product(shift, IDENTITY) == product(IDENTITY, shift) == shift
    assert applied(shift, 2.0, 3.0) == (7.0, 10.0)
