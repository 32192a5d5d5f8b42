"""How blurred a scan is, measured at the rings of the target.

A ring's line is a band of ink of known width. On the scan it is that band smoothed by the scanner's optics, by the size
of a pixel and by the reading between pixels, all of which smooth the paper's edge alike (`paper_edge`).
"""

import math

import numpy as np

from watcher.align.register.page_in_scan import PageInScan
from watcher.align.register.rings import Pixels, sample
from watcher.align.register.target import RING_WIDTH_MM

_ANGLES = 240
_REACH_MM = 0.8  # beside the middle of the line: as far as the paper is blank
_STEP_MM = 0.02
_HALF_WIDTHS_MM = float(RING_WIDTH_MM) / 2 * np.linspace(0.9, 1.3, 9)  # toner and ink spread
_PX = (0.35, 4.0)  # the blur that is looked for: from a sharp scan to one that shows no ring
_TRIED = 45
_erf = np.vectorize(math.erf, otypes=[float])


def step_response(distance: Pixels) -> Pixels:
    """Give a step from 0 to 1 after a Gaussian blur, at distances from the step in standard deviations."""
    smooth: Pixels = 0.5 * (1 + _erf(distance / math.sqrt(2)))
    return smooth


def measure_blur(page: PageInScan) -> float:
    """Give the blur of a scan as the standard deviation of a Gaussian, mm on the page."""
    away = np.arange(-_REACH_MM, _REACH_MM + _STEP_MM / 2, _STEP_MM)
    profiles = [_profile(page, number, away) for number in page.marks]
    blurs = np.geomspace(*_PX, _TRIED) / page.px_per_mm
    profile: Pixels = np.mean(profiles, axis=0)
    fits = [(_misfit(profile, away, half, blur), blur) for half in _HALF_WIDTHS_MM for blur in blurs]
    return float(min(fits)[1])


def _profile(page: PageInScan, number: int, away: Pixels) -> Pixels:
    """Give the grey across a ring's line, by distance from its middle: the median over all angles."""
    angles = np.linspace(0, 2 * np.pi, _ANGLES, endpoint=False)
    radius = page.radii[number] / page.px_per_mm
    directions = np.column_stack((np.cos(angles), np.sin(angles)))
    places = (radius + away)[np.newaxis, :, np.newaxis] * directions[:, np.newaxis, :]
    pixels = places @ page.linear.T + page.marks[number]
    grey = sample(page.scan.grey, pixels[:, :, 0], page.scan.grey.shape[0] - 1 - pixels[:, :, 1])
    profile: Pixels = np.median(grey, axis=0)
    return profile


def _misfit(profile: Pixels, away: Pixels, half: float, blur: float) -> float:
    """Give the squared error of the best paper and ink for a line of this half width and blur."""
    line = step_response((away + half) / blur) - step_response((away - half) / blur)
    columns = np.column_stack((np.ones_like(away), line))
    solved = np.linalg.lstsq(columns, profile, rcond=None)[0]
    return float(((profile - columns @ solved) ** 2).sum())
