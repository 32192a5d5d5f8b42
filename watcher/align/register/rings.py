"""Find the rings of the register target in a scan, to about a hundredth of a millimetre.

First every place in a small copy of the scan is asked how much it looks like the middle of a ring (dark on the ring,
light within and without: a correlation, done by Fourier transform). Around each good place the ring is then traced at
full resolution: at 360 angles the middle of the dark line, and through these the best circle, slightly squeezed as
scanners do. Dust, a crease, or the other side shining through spoil a few angles, and those are left out.

Coordinates: pixels, x to the right, y UP from the middle of the lowest row, so that nothing here is mirrored.
"""

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from watcher.align.register.scan_file import Grey
from watcher.align.register.target import BACK_RING_MM, FRONT_RING_MM, RING_WIDTH_MM

Pixels: TypeAlias = npt.NDArray[np.float64]

COARSE_PX_PER_MM = 4.0  # about 100 ppi: enough to see a line of 0.6 mm
MOST_RINGS = 24  # six are there; the rest are round things that are none
_LIKENESS = 0.3  # of a perfect ring, in the small copy
_WHITE_MM = 0.8  # free paper on either side of the line
_LARGEST_MM = float(max(FRONT_RING_MM, BACK_RING_MM) + RING_WIDTH_MM) + _WHITE_MM
_ANGLES = 360
_LEAST_TRACED = 0.6  # of all angles
_FAINT = 0.35  # darkness below which it is the other side shining through
_STRAY_MM = 0.15


@dataclass(frozen=True, kw_only=True)
class Ring:
    """A ring: its middle and its radius, pixels."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True, kw_only=True, eq=False)
class SmallCopy:
    """A scan prepared for the search for rings.

    Attributes:
        grey: the scan itself.
        px_per_mm: its resolution.
        step: so many pixels across are one of the small copy.
        shape: of the small copy.
        spectrum: its Fourier transform, with room for the largest ring around it.
        padded: the size with that room.
    """

    grey: Grey
    px_per_mm: float
    step: int
    shape: tuple[int, int]
    spectrum: npt.NDArray[np.complex128]
    padded: tuple[int, int]


def make_ready(grey: Grey, px_per_mm: float, faint: float = 1.0) -> SmallCopy:
    """Prepare a scan for the search for rings.

    Args:
        grey: the scan, rows from the top.
        px_per_mm: its resolution, true within 3 percent.
        faint: how dark the ink is at least, against the darkest there is in the scan.
    """
    step = max(1, round(px_per_mm / COARSE_PX_PER_MM))
    dark = _darkness(smaller(grey, step), faint)
    room = 2 * math.ceil((_LARGEST_MM + 1) * px_per_mm / step)
    padded = (_fast_size(dark.shape[0] + room), _fast_size(dark.shape[1] + room))
    return SmallCopy(
        grey=grey,
        px_per_mm=px_per_mm,
        step=step,
        shape=(dark.shape[0], dark.shape[1]),
        spectrum=np.fft.rfft2(dark, padded),
        padded=padded,
    )


def find_rings(copy: SmallCopy, radius_mm: float) -> list[Ring]:
    """Find all rings of a radius (of the middle of the line), the clearest first."""
    step, radius = copy.step, radius_mm * copy.px_per_mm / copy.step
    rings = []
    for row, column in _peaks(_likeness(copy, radius), int(radius)):
        middle = ((column + 0.5) * step - 0.5, (row + 0.5) * step - 0.5)
        ring = _trace(copy.grey, middle, radius_mm, copy.px_per_mm)
        if ring is not None:
            rings.append(ring)
    return rings


def smaller(grey: Grey, step: int) -> Pixels:
    """Average each block of `step` x `step` pixels to one."""
    height, width = grey.shape[0] // step, grey.shape[1] // step
    blocks = grey[: height * step, : width * step].reshape(height, step, width, step)
    small: Pixels = blocks.mean(axis=(1, 3), dtype=np.float64)
    return small


def _darkness(grey: Pixels, faint: float) -> Pixels:
    """Convert grey to darkness, 0 for paper and 1 for ink, by percentiles of the scan."""
    black, paper = np.percentile(grey, (0.2, 90))
    dark: Pixels = np.clip((paper - grey) / max((paper - black) * faint, 1.0), 0.0, 1.0)
    return dark


def _likeness(copy: SmallCopy, radius: float) -> Pixels:
    """Give how much each pixel of the small copy looks like the middle of a ring; 1 for a perfect one."""
    pattern = _pattern(radius, copy.px_per_mm / copy.step)
    shifted = np.fft.irfft2(copy.spectrum * np.conj(np.fft.rfft2(pattern, copy.padded)), copy.padded)
    half = pattern.shape[0] // 2
    likeness: Pixels = np.roll(shifted, (half, half), axis=(0, 1))[: copy.shape[0], : copy.shape[1]]
    return likeness


def _pattern(radius: float, px_per_mm: float) -> Pixels:
    """Give the pattern of a ring: its line counts for it, the paper on either side against it."""
    half_line = float(RING_WIDTH_MM) * px_per_mm / 2
    free = _WHITE_MM * px_per_mm
    reach = math.ceil(radius + half_line + free) + 1
    across = np.arange(-reach, reach + 1)
    away = np.abs(np.hypot(across[:, np.newaxis], across[np.newaxis, :]) - radius)
    line = np.clip(half_line + 0.5 - away, 0.0, 1.0)
    white = np.clip(half_line + free + 0.5 - away, 0.0, 1.0) - np.clip(half_line + 1.5 - away, 0.0, 1.0)
    pattern: Pixels = line / line.sum() - white / white.sum()
    return pattern


def _fast_size(size: int) -> int:
    """Give the next size with the factors 2, 3 and 5 alone, at which a Fourier transform is quick."""
    while True:
        rest = size
        for prime in (2, 3, 5):
            while rest % prime == 0:
                rest //= prime
        if rest == 1:
            return size
        size += 1


def _peaks(likeness: Pixels, apart: int) -> list[tuple[int, int]]:
    """Give the best places as row and column, best first, none within `apart` of another."""
    left = likeness.copy()
    found: list[tuple[int, int]] = []
    while len(found) < MOST_RINGS:
        row, column = (int(place) for place in np.unravel_index(int(np.argmax(left)), left.shape))
        if left[row, column] < _LIKENESS:
            break
        found.append((row, column))
        left[max(0, row - apart) : row + apart + 1, max(0, column - apart) : column + apart + 1] = -1
    return found


def _trace(grey: Grey, middle: tuple[float, float], radius_mm: float, px_per_mm: float) -> Ring | None:
    """Trace the ring around `middle` (column and row) at full resolution; None when most of it is missing."""
    column, row, radius = middle[0], middle[1], radius_mm * px_per_mm
    for _ in range(3):
        angles, radii = _middles_of_line(grey, column, row, radius, px_per_mm)
        if len(angles) < _LEAST_TRACED * _ANGLES:
            return None
        right, up, radius = _fit_circle(angles, radii, _STRAY_MM * px_per_mm)
        column, row = column + right, row - up
    return Ring(x=column, y=grey.shape[0] - 1 - row, radius=radius)


def _middles_of_line(grey: Grey, column: float, row: float, radius: float, px_per_mm: float) -> tuple[Pixels, Pixels]:
    """Give the angles at which the line can be seen, and how far from (column, row) its middle lies there."""
    reach = (float(RING_WIDTH_MM) / 2 + _WHITE_MM) * px_per_mm
    radii = np.arange(radius - reach, radius + reach + 0.25, 0.5)
    angles = np.linspace(0, 2 * np.pi, _ANGLES, endpoint=False)
    values = sample(
        grey,
        column + radii[np.newaxis, :] * np.cos(angles)[:, np.newaxis],
        row - radii[np.newaxis, :] * np.sin(angles)[:, np.newaxis],
    )
    paper, ink = np.percentile(values, 90), np.percentile(values, 3)
    dark = np.clip((paper - values) / max(float(paper - ink), 1.0), 0.0, 1.0)
    dark[dark < _FAINT] = 0.0
    weight = dark.sum(axis=1)
    seen = (dark.max(axis=1) > 0.6) & (dark[:, 0] == 0) & (dark[:, -1] == 0)
    middles = (dark * radii).sum(axis=1) / np.maximum(weight, 1e-9)
    return angles[seen], middles[seen]


def _fit_circle(angles: Pixels, radii: Pixels, stray: float) -> tuple[float, float, float]:
    """Fit a circle; give how far right and up its middle lies, and its radius. Angles that stray are left out."""
    waves = np.column_stack(
        (np.cos(angles), np.sin(angles), np.ones_like(angles), np.cos(2 * angles), np.sin(2 * angles))
    )
    kept = np.ones(len(angles), dtype=bool)
    found = np.zeros(5)
    for _ in range(4):
        found = np.linalg.lstsq(waves[kept], radii[kept], rcond=None)[0]
        off = np.abs(radii - waves @ found)
        limit = max(3 * float(np.median(off)), stray / 3)
        kept = off <= limit
    return float(found[0]), float(found[1]), float(found[2])


def sample(grey: Grey, columns: Pixels, rows: Pixels) -> Pixels:
    """Read grey values between pixels, bilinear; beyond the scan its outermost pixels are repeated."""
    left = np.clip(np.floor(columns).astype(np.intp), 0, grey.shape[1] - 2)
    top = np.clip(np.floor(rows).astype(np.intp), 0, grey.shape[0] - 2)
    across, down = np.clip(columns - left, 0.0, 1.0), np.clip(rows - top, 0.0, 1.0)
    upper = grey[top, left] * (1 - across) + grey[top, left + 1] * across
    lower = grey[top + 1, left] * (1 - across) + grey[top + 1, left + 1] * across
    blended: Pixels = upper * (1 - down) + lower * down
    return blended
