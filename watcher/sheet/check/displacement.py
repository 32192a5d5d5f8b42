"""Estimate how far a picture is moved against another, from all of it at once.

Method: least squares over the gradients of the picture (Lucas and Kanade, "An iterative image registration technique
with an application to stereo vision", IJCAI 1981, its first step): where a picture is moved by a little, each step
changes by the move times the gradient there. What a renderer rounds points in all directions and cancels out, a shift
of the card does not. So it is found where every step by itself lies within the range of colours nearby, as in fine
checks and small type.
"""

import math

import numpy as np
from numpy.typing import NDArray

from watcher.sheet.check.neighbours import Pixels

Levels = NDArray[np.floating]  # grey, height x width, 0 to 255

_FLAT = 0.05  # squared levels from step to step: a picture with less in it has no direction to be moved in
_LEAST_SURE = 5.0  # standard errors
_SEEN_AT_ALL = 0.35  # of a step: more than a renderer rounds


def grey(pixels: Pixels) -> Levels:
    """The average of the three colours."""
    return pixels.astype(np.float32) @ np.full(3, 1 / 3, np.float32)


def displacement(seen: Levels, art: Levels, mask: NDArray[np.bool_]) -> float:
    """How far `seen` is moved against `art`, in their steps; 0 where nothing can be said.

    From single steps it is right to two tenths up to one step and a half. Where these see a move, squares of four are
    asked too, which reach as far again; by themselves they take a pattern of four steps for a move.

    Args:
        seen: what lies there.
        art: what should.
        mask: the steps that count.
    """
    counts = mask.astype(np.float32)
    by_steps = _moved(seen, art, counts)
    if by_steps < _SEEN_AT_ALL:
        return by_steps
    return max(by_steps, 2 * _moved(_squares(seen), _squares(art), _squares(counts)))


def _squares(levels: Levels) -> Levels:
    """The average of each four."""
    whole = levels[: levels.shape[0] // 2 * 2, : levels.shape[1] // 2 * 2]
    return (whole[::2, ::2] + whole[1::2, ::2] + whole[::2, 1::2] + whole[1::2, 1::2]) / 4


def _moved(seen: Levels, art: Levels, weight: Levels) -> float:
    """One estimate, from the steps whose weight is 1."""
    if min(art.shape) < 3:
        return 0.0
    counts = weight[1:-1, 1:-1] == 1
    across = (art[1:-1, 2:] - art[1:-1, :-2])[counts] / 2
    down = (art[2:, 1:-1] - art[:-2, 1:-1])[counts] / 2
    change = (art - seen)[1:-1, 1:-1][counts]
    flat = _FLAT * len(change)
    aa, dd, ad = float(across @ across) + flat, float(down @ down) + flat, float(across @ down)
    ac, dc = float(across @ change), float(down @ change)
    area = aa * dd - ad * ad
    if area <= 0:
        return 0.0
    right, below = (dd * ac - ad * dc) / area, (aa * dc - ad * ac) / area
    explained = right * ac + below * dc
    rest = max(0.0, float(change @ change) - explained)
    return math.hypot(right, below) if explained * len(change) > _LEAST_SURE**2 * rest else 0.0
