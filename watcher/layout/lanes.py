"""The widths of the lanes between the cards of a sheet."""

from fractions import Fraction
from functools import lru_cache

from watcher.layout.geometry import Box
from watcher.layout.model import Layout


@lru_cache(maxsize=64)
def narrowest_lane(layout: Layout) -> Fraction | None:
    """The least distance between two cards that lie beside each other, mm; None where no two do."""
    trims = [place.front.trim for place in layout.places]
    lanes = [_lane(one, other) for number, one in enumerate(trims) for other in trims[number + 1 :]]
    return min((lane for lane in lanes if lane is not None), default=None)


def _lane(one: Box, other: Box) -> Fraction | None:
    """The distance between two cards that lie side by side or one above the other, mm; None for any others."""
    across = max(other.left - one.right, one.left - other.right)
    up = max(other.bottom - one.top, one.bottom - other.top)
    if up < 0 <= across:
        return across
    return up if across < 0 <= up else None
