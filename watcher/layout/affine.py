"""Matrices of six numbers: their product, and where they bring a point.

Source: ISO 32000-1 8.3.3 (x' = a x + c y + e, y' = b x + d y + f) and 8.3.4 (the order of a product).
"""

from fractions import Fraction
from typing import TypeVar

Number = TypeVar("Number", float, Fraction)
Six = tuple[Number, Number, Number, Number, Number, Number]
Floats = Six[float]

IDENTITY: Floats = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def product(first: Six[Number], then: Six[Number]) -> Six[Number]:
    """The matrix that does `first` and then `then` on its result."""
    a, b, c, d, e, f = first
    return (
        a * then[0] + b * then[2],
        a * then[1] + b * then[3],
        c * then[0] + d * then[2],
        c * then[1] + d * then[3],
        e * then[0] + f * then[2] + then[4],
        e * then[1] + f * then[3] + then[5],
    )


def applied(matrix: Six[Number], x: Number, y: Number) -> tuple[Number, Number]:
    """The point that a point is brought to."""
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f
