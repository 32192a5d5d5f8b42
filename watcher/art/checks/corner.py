"""Rounded corners: the safe zone follows them, so what keeps its distance from both edges may still stand too near.

Ink 3 mm in from both edges is only 1.76 mm from a corner of 6 mm: 6 - sqrt(2) * (6 - 3).
"""

from collections.abc import Iterable
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from watcher.art.checks.edge_strips import CONTRAST, within_trim
from watcher.art.model import CardFace
from watcher.settings.card import CardSettings
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, Level
from watcher.units import show_length, show_mm

Depths = NDArray[np.float64]
Mask = NDArray[np.bool_]

_EXACT_MM = 0.3  # what a small picture can tell; nearer to the safe zone's edge than this nothing is said
_LEAST_PX = 4  # fewer are dust
_AT_THE_CUT_MM = 0.4
_FINEST_MM = 1e-6


def depth_at_corner(x: Depths, y: Depths, radius: float) -> Depths:
    """How far inside the cut a point near a rounded corner lies.

    Args:
        x: distance from the edge on one side of the corner, mm.
        y: distance from the edge on its other side, mm.
        radius: of the corner, mm.

    Returns:
        Millimetres to the nearest point of the cut; negative outside of it.
    """
    in_the_round = (x < radius) & (y < radius)
    round_depth = radius - np.hypot(radius - x, radius - y)
    return np.where(in_the_round, round_depth, np.minimum(x, y))


def rounded_corners(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find what stands clear of the edges but too near to a rounded corner, and does not run out over it."""
    picture = within_trim(face, card)
    if not card.corner or picture is None:
        return
    height, width = picture.shape[:2]
    px_mm = float(card.trim.width) / width, float(card.trim.height) / height
    nearest = [
        depth
        for turned in (picture, picture[:, ::-1], picture[::-1], picture[::-1, ::-1])
        if (depth := _nearest(turned, px_mm, float(card.corner), float(card.safe))) is not None
    ]
    if not nearest:
        return
    about = show_mm(Fraction(min(nearest)), 1)
    said = (
        f"{face.art.file} has something about {about} mm from a corner that will be "
        f"rounded to {show_length(card.corner)}; {show_length(card.safe)} are wanted. Move it away from the corner, or "
        "round less."
    )
    yield Finding(level=Level.WARN, code="near-rounded-corner", message=said, side=face.art.side)


def _nearest(picture: NDArray[np.uint8], px_mm: tuple[float, float], radius: float, safe: float) -> float | None:
    """How near to the cut something stands in the picture's upper left corner; None when nothing does.

    What stands nearer than `safe` to a straight edge is told elsewhere.
    """
    reach = [int((radius + safe) / side) + 2 for side in px_mm]
    marks = _changes(picture[: reach[1], : reach[0]])
    # the outer corner of each pixel
    x, y = np.meshgrid(*(np.arange(count) * side for count, side in zip(marks.shape[::-1], px_mm, strict=True)))
    depth = depth_at_corner(x, y, radius)
    if (marks & (np.abs(depth) < _AT_THE_CUT_MM)).any():
        return None  # a design that runs out over the corner
    near = marks & (depth > 0) & (depth < safe - _EXACT_MM) & (x > safe - _FINEST_MM) & (y > safe - _FINEST_MM)
    return float(depth[near].min()) if near.sum() >= _LEAST_PX else None


def _changes(pixels: NDArray[np.uint8]) -> Mask:
    """Where the colour changes between the two neighbours of a pixel, across or down."""
    wide = np.pad(pixels.astype(np.int16), ((1, 1), (1, 1), (0, 0)), "edge")
    across, down = np.abs(wide[1:-1, 2:] - wide[1:-1, :-2]), np.abs(wide[2:, 1:-1] - wide[:-2, 1:-1])
    found: Mask = (np.maximum(across, down) >= CONTRAST).any(axis=-1)
    return found
