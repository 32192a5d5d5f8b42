"""Averages and extremes over neighbouring pixels. Pictures are height x width x 3, 8 bits."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]


def averaged(pixels: Pixels, weights: tuple[int, int, int]) -> Pixels:
    """Average each pixel with its neighbours, down and then across; weights (1, 2, 1) are a width of two pixels."""
    for axis in (0, 1):
        wide = np.pad(pixels, [(1, 1) if axis == at else (0, 0) for at in range(3)], "edge").astype(np.uint16)
        end = wide.shape[axis] - 2
        before, here, after = (wide[at : at + end] if axis == 0 else wide[:, at : at + end] for at in range(3))
        total = weights[0] * before + weights[1] * here + weights[2] * after
        pixels = (total // sum(weights)).astype(np.uint8)
    return pixels


def averaged_blocks(pixels: Pixels, size: int) -> Pixels:
    """The average of each square of `size` pixels; what is left over at the far ends is dropped."""
    height, width = (length // size for length in pixels.shape[:2])
    whole = pixels[: height * size, : width * size].astype(np.uint16)
    total = whole.reshape(height, size, width, size, 3).sum(axis=(1, 3))
    return np.asarray(total // size**2).astype(np.uint8)


def extreme_within(pixels: Pixels, reach: int, pick: Callable[..., Pixels]) -> Pixels:
    """The least or greatest (`pick`) of all pixels within `reach`, across and down."""
    done = 0
    while done < reach:
        step = min(max(1, done), reach - done)  # doubling: what is found already reaches `done` far
        pixels, done = extreme_around(pixels, pick, step), done + step
    return pixels


def extreme_around(pixels: Pixels, pick: Callable[..., Pixels], step: int = 1) -> Pixels:
    """The least or greatest (`pick`) of each pixel and the eight that lie `step` away."""
    rows = pixels.copy()
    pick(rows[step:], pixels[:-step], out=rows[step:])
    pick(rows[:-step], pixels[step:], out=rows[:-step])
    found = rows.copy()
    pick(found[:, step:], rows[:, :-step], out=found[:, step:])
    pick(found[:, :-step], rows[:, step:], out=found[:, :-step])
    return found
