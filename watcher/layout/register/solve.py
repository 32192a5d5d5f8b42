"""Least squares for the five numbers of a correction: shift right and up, turn, scale across and up.

Points are mm from the sheet's centre, n x 2. The turn is not linear in the points: Gauss-Newton, a few rounds of linear
least squares, the first of which is already right to a hundredth of a millimetre for any printer.
"""

import math
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Points: TypeAlias = npt.NDArray[np.float64]

_ROUNDS = 25
_STILL = 1e-13


def solve(from_centre: Points, wanted: Points, weights: Points, free: int) -> Points:
    """Solve for the numbers that bring the points nearest to where they are wanted.

    Args:
        from_centre: the points.
        wanted: where they should be.
        weights: one for each point, to count its distance with.
        free: how many of the five are fitted, in their order; the others stay as for no correction.

    Returns:
        Shift right, shift up (mm), turn (radians), scale across, scale up.
    """
    found = np.array([0.0, 0.0, 0.0, 1.0, 1.0])
    for _ in range(_ROUNDS):
        missing = (wanted - moved(from_centre, found)) * weights[:, np.newaxis]
        slopes = _slopes(from_centre, found)[:, :, :free] * weights[:, np.newaxis, np.newaxis]
        step = np.linalg.lstsq(slopes.reshape(-1, free), missing.reshape(-1), rcond=None)[0]
        found[:free] += step
        if np.abs(step).max() < _STILL:
            break
    return found


def moved(from_centre: Points, found: Points) -> Points:
    """The points scaled, turned and shifted by these five numbers."""
    sin, cos = math.sin(found[2]), math.cos(found[2])
    scaled = from_centre * found[3:5]
    return (
        np.column_stack((cos * scaled[:, 0] - sin * scaled[:, 1], sin * scaled[:, 0] + cos * scaled[:, 1])) + found[:2]
    )


def slopes(from_centre: Points) -> Points:
    """How points move right and up with each of the five numbers, about no correction: (2 x points) x 5."""
    return _slopes(from_centre, np.array([0.0, 0.0, 0.0, 1.0, 1.0])).reshape(-1, 5)


def _slopes(from_centre: Points, found: Points) -> Points:
    """How each point moves with each of the five numbers: points x (right, up) x 5."""
    sin, cos = math.sin(found[2]), math.cos(found[2])
    across, up = from_centre[:, 0], from_centre[:, 1]
    slopes = np.zeros((len(from_centre), 2, 5))
    slopes[:, 0, 0] = slopes[:, 1, 1] = 1
    slopes[:, 0, 2] = -sin * found[3] * across - cos * found[4] * up
    slopes[:, 1, 2] = cos * found[3] * across - sin * found[4] * up
    slopes[:, 0, 3], slopes[:, 1, 3] = cos * across, sin * across
    slopes[:, 0, 4], slopes[:, 1, 4] = -sin * up, cos * up
    return slopes
