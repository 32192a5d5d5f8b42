"""Read the label of a target from a scan, once the page is found in it."""

from enum import Enum, auto

import numpy as np

from watcher.align.register.dot_grid import LABEL_DOT_MM, bit_places, grid_middles
from watcher.align.register.label import Label, from_bits
from watcher.align.register.page_in_scan import PageInScan
from watcher.align.register.rings import Pixels, sample
from watcher.align.register.target import Target

_STEPS_MM = np.arange(-0.45, 0.46, 0.15)  # how far a grid may lie from where the rings say; half a pitch at most
_ACROSS_MM = np.linspace(-0.35, 0.35, 5) * float(LABEL_DOT_MM)  # of a dot that is looked at
_PRESENT = 0.3  # of the ink's contrast: less difference between two neighbours is no pattern


class Unread(Enum):
    """Why there is no label."""

    ABSENT = auto()  # no dots there: a target of an earlier version, or another sheet
    UNCLEAR = auto()  # dots, but not all of them


def read_label(page: PageInScan, target: Target) -> Label | Unread:
    """Read the label of a page, from each of its grids and from both together."""
    ink = max(page.ink, 1.0)
    grids = [
        _differences(page, np.array([float(middle.x), float(middle.y)])) / ink
        for middle in grid_middles(target, page.side)
    ]
    seen = [grid for grid in grids if np.abs(grid).mean() > _PRESENT]
    if not seen:
        return Unread.ABSENT
    for grid in (*seen, sum(seen)):
        label = from_bits(tuple(bool(difference > 0) for difference in np.asarray(grid)))
        if label is not None and label.side is page.side:
            return label
    return Unread.UNCLEAR


def _differences(page: PageInScan, middle_mm: Pixels) -> Pixels:
    """Give for each bit how much darker its left place is than its right one, where the grid shows clearest."""
    places = np.array([[[float(place.x), float(place.y)] for place in pair] for pair in bit_places()])
    right, up = np.meshgrid(_ACROSS_MM, _ACROSS_MM)
    spots = places[:, :, np.newaxis, :] + np.column_stack((right.ravel(), up.ravel()))
    best: Pixels = np.zeros(len(places))
    for across in _STEPS_MM:
        for upwards in _STEPS_MM:
            grey = _grey_at(page, spots + middle_mm + (across, upwards)).mean(axis=2)
            difference = grey[:, 1] - grey[:, 0]
            if np.abs(difference).mean() > np.abs(best).mean():
                best = difference
    return best


def _grey_at(page: PageInScan, places_mm: Pixels) -> Pixels:
    pixels = page.in_pixels(places_mm.reshape(-1, 2))
    return sample(page.scan.grey, pixels[:, 0], page.scan.grey.shape[0] - 1 - pixels[:, 1]).reshape(
        places_mm.shape[:-1]
    )
