"""Where the paper ends on a scan, to about a hundredth of a millimetre, once a line near its edge is known.

Along a piece of the edge the rays are averaged to one profile: the paper's grey, a step at the edge, and beyond it a
grey that may rise or fall, since the paper throws a shadow on the lid. The blur of the scan (`blur`) smooths all of it.
The point half-way down the visible step is not the edge: a narrow shadow on a light lid is filled up by the blur, so
that at 150 ppi half-way lies up to 0.17 mm within the paper. So the step and the slope beyond it are fitted together,
which leaves 0.05 mm at the most (measured on the made-up scans of tests/align/conftest.py).
"""

import numpy as np

from watcher.align.register.blur import step_response
from watcher.align.register.rings import Pixels

_INSIDE, _OUTSIDE = 3.5, 1.75  # how far a profile reaches to either side of the edge, in blurs
_PLUS_MM = 0.15
_STEPS = 61
_FURTHEST_MM, _TRIED = 0.2, 41  # from the supposed edge


def profile_places(blur_mm: float) -> Pixels:
    """Give the distances from the supposed edge at which a profile is read, mm, outwards positive."""
    places: Pixels = np.linspace(-_INSIDE * blur_mm - _PLUS_MM, _OUTSIDE * blur_mm + _PLUS_MM, _STEPS)
    return places


def fit_edges(profiles: Pixels, places: Pixels, blur_mm: float) -> Pixels:
    """Give where the edge lies in each profile, from the supposed edge outwards, mm.

    Args:
        profiles: grey values, profiles x places.
        places: as `profile_places` gives them.
        blur_mm: of the scan.
    """
    tried = np.linspace(-_FURTHEST_MM, _FURTHEST_MM, _TRIED)
    errors = np.array([_errors_at(profiles, places, at, blur_mm) for at in tried])
    best = np.clip(errors.argmin(axis=0), 1, _TRIED - 2)
    number = np.arange(len(profiles))
    before, here, after = errors[best - 1, number], errors[best, number], errors[best + 1, number]
    aside = 0.5 * (before - after) / np.maximum(before - 2 * here + after, 1e-12)  # least of a parabola through three
    found: Pixels = tried[best] + (tried[1] - tried[0]) * np.clip(aside, -1.0, 1.0)
    return found


def _errors_at(profiles: Pixels, places: Pixels, at: float, blur_mm: float) -> Pixels:
    """Give the squared error of each profile's best paper, step and slope for an edge there."""
    away = (places - at) / blur_mm
    step = step_response(away)
    slope = away * step + np.exp(-0.5 * away**2) / np.sqrt(2 * np.pi)
    columns = np.column_stack((np.ones_like(away), step, slope))
    solved = np.linalg.lstsq(columns, profiles.T, rcond=None)[0]
    errors: Pixels = ((profiles.T - columns @ solved) ** 2).sum(axis=0)
    return errors
