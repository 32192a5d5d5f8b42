"""Find the edges of the sheet in a scan, from the inside outwards, to a few hundredths of a millimetre.

First roughly: from beside the marks some hundred rays run outwards over blank paper. Each ends at the first quick
change of grey, darker or lighter, be it another ground, the lid or a shadow. The straight line through most ends leaves
out the few rays that something else stops (words, dust). Then exactly: along that line the grey is averaged piece by
piece, and the edge is fitted to each (`paper_edge`). No size of the sheet is assumed: paper may be 2 mm off its name
(ISO 216), and a sheet may have been cut to fit the scanner's glass, squarely or not.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from watcher.align.register.blur import measure_blur
from watcher.align.register.page_in_scan import PageInScan
from watcher.align.register.paper_edge import fit_edges, profile_places
from watcher.align.register.rings import Pixels, sample
from watcher.align.register.target import BACK_RING_MM, RING_WIDTH_MM, Target
from watcher.terms import Edge

_START_MM = float(BACK_RING_MM + RING_WIDTH_MM / 2) + 1.0  # from a mark's middle: clear of either ring
_BEYOND_MM = 6.0  # how far outside the sheet's named size the paper may reach
_RAY_MM = 0.7  # from ray to ray
_STEP_PX = 0.5
_TOGETHER = 5  # rays averaged against noise: 3.5 mm of edge
_ALL_WITHIN = 0.999  # of the rays averaged
_QUICK_MM = 0.5  # over which a change of grey counts as quick
_LEAST_CHANGE = 7.0  # of 255
_NEAR_MM = 0.15  # of the line, to belong to it
_MOST_SLANT = 0.06  # of an edge against the printed page: a sheet cut askew by eye
_LEAST_SEEN = 0.35  # of the rays must end on one line
_PIECE = 14  # rays averaged to one exact profile: 10 mm of edge
_STRAY_MM = 0.02  # of a piece from the line through the others: dust, a nick
_OUTWARDS = {Edge.LEFT: (-1, 0), Edge.RIGHT: (1, 0), Edge.TOP: (0, 1), Edge.BOTTOM: (0, -1)}


@dataclass(frozen=True, kw_only=True, eq=False)
class PaperEdge:
    """One straight edge of the sheet: two points on it, mm in the axes of the printed page."""

    one: Pixels
    other: Pixels


def find_edges(page: PageInScan, target: Target) -> dict[Edge, PaperEdge]:
    """Give the edges of the sheet that can be seen on a scan, named as the page is read."""
    blur_mm = measure_blur(page)
    found = {edge: _find_edge(page, target, edge, blur_mm) for edge in Edge}
    return {edge: line for edge, line in found.items() if line is not None}


def corners(edges: dict[Edge, PaperEdge]) -> dict[tuple[Edge, Edge], Pixels]:
    """Give the points where two edges that are seen meet, by (top or bottom, left or right); mm, axes of the page."""
    return {
        (level, upright): _meeting(edges[level], edges[upright])
        for level in (Edge.TOP, Edge.BOTTOM)
        for upright in (Edge.LEFT, Edge.RIGHT)
        if level in edges and upright in edges
    }


def _meeting(one: PaperEdge, other: PaperEdge) -> Pixels:
    along, across = one.other - one.one, other.other - other.one
    steps = np.linalg.solve(np.column_stack((along, -across)), other.one - one.one)
    point: Pixels = one.one + steps[0] * along
    return point


def _find_edge(page: PageInScan, target: Target, edge: Edge, blur_mm: float) -> PaperEdge | None:
    """Find one edge; None when most rays leave the scan before they meet it."""
    outwards = np.array(_OUTWARDS[edge], dtype=float)
    starts, length = _rays(page, target, edge)
    steps = np.arange(0.0, length, _STEP_PX / page.px_per_mm)
    values, within = _seen(page, starts[:, np.newaxis, :] + steps[np.newaxis, :, np.newaxis] * outwards)
    along = starts @ np.abs(outwards[::-1])
    line = _straight(along, _ends(_averaged(values), _averaged(within) > _ALL_WITHIN, steps))
    if line is not None:
        line = _exact(page, starts, outwards, line, blur_mm)
    if line is None:
        return None
    away = [line[0] + line[1] * along[end] for end in (0, -1)]
    return PaperEdge(one=starts[0] + away[0] * outwards, other=starts[-1] + away[1] * outwards)


def _exact(
    page: PageInScan, starts: Pixels, outwards: Pixels, line: tuple[float, float], blur_mm: float
) -> tuple[float, float] | None:
    """Fit the edge beside a rough line (distance at 0, slant); None when too little of it lies on the scan."""
    along, places = starts @ np.abs(outwards[::-1]), profile_places(blur_mm)
    first, slant = line
    for _ in range(2):  # the second time from where the first has found it
        away = (first + slant * along)[:, np.newaxis] + places[np.newaxis, :]
        values, within = _seen(page, starts[:, np.newaxis, :] + away[:, :, np.newaxis] * outwards)
        pieces = [slice(start, start + _PIECE) for start in range(0, len(along) - _PIECE + 1, _PIECE)]
        pieces = [piece for piece in pieces if within[piece].all()]
        if len(pieces) * _PIECE < _LEAST_SEEN * len(along) or len(pieces) < 3:
            return None
        middles = np.array([along[piece].mean() for piece in pieces])
        profiles = np.array([values[piece].mean(axis=0) for piece in pieces])
        more_slant, more = _line_without_strays(middles, fit_edges(profiles, places, blur_mm))
        first, slant = first + more, slant + more_slant
    return first, slant


def _line_without_strays(along: Pixels, away: Pixels) -> tuple[float, float]:
    """Give the slant and the distance at 0 of the straight line through points, but for those that stray."""
    kept = np.ones(len(along), dtype=bool)
    slant, first = 0.0, 0.0
    for _ in range(3):
        slant, first = np.polyfit(along[kept], away[kept], 1)
        off = np.abs(away - first - slant * along)
        kept = off <= max(3 * float(np.median(off)), _STRAY_MM)
    return float(slant), float(first)


def _seen(page: PageInScan, places: Pixels) -> tuple[Pixels, Pixels]:
    """Read the grey at places of the page (rays x steps x 2, mm), and 1 where these lie on the scan, else 0."""
    pixels = page.in_pixels(places.reshape(-1, 2)).reshape(places.shape)
    height, width = page.scan.grey.shape
    columns, rows = pixels[:, :, 0], height - 1 - pixels[:, :, 1]
    within = (columns >= 0) & (columns <= width - 1) & (rows >= 0) & (rows <= height - 1)
    return sample(page.scan.grey, columns, rows), within.astype(np.float64)


def _rays(page: PageInScan, target: Target, edge: Edge) -> tuple[Pixels, float]:
    """Give where the rays start (n x 2, mm on the page, in order along the edge), and how far they run, mm."""
    marks = np.array([[float(mark.on(page.side).x), float(mark.on(page.side).y)] for mark in target.marks])
    low, high = marks.min(axis=0) - _START_MM, marks.max(axis=0) + _START_MM
    size = np.array([float(target.sheet.width), float(target.sheet.height)])
    across = 0 if edge in (Edge.LEFT, Edge.RIGHT) else 1
    lower = edge in (Edge.LEFT, Edge.BOTTOM)
    start = low[across] if lower else high[across]
    length = (start if lower else size[across] - start) + _BEYOND_MM
    along = np.arange(low[1 - across], high[1 - across], _RAY_MM)
    starts = np.empty((len(along), 2))
    starts[:, across], starts[:, 1 - across] = start, along
    return starts, float(length)


def _averaged(values: Pixels) -> Pixels:
    """Average each ray with its neighbours."""
    padded = np.pad(values, ((_TOGETHER // 2, _TOGETHER // 2), (0, 0)), mode="edge")
    sums = np.cumsum(np.vstack((np.zeros((1, padded.shape[1])), padded)), axis=0)
    return (sums[_TOGETHER:] - sums[:-_TOGETHER]) / _TOGETHER


def _ends(values: Pixels, within: npt.NDArray[np.bool_], steps: Pixels) -> Pixels:
    """Give how far out each ray meets the end of the paper, mm; NaN where it does not."""
    ends: Pixels = np.full(len(values), np.nan)
    half = max(1, round(_QUICK_MM / 2 / float(steps[1])))
    change = np.abs(_change(values, half))
    change[~within[:, 2 * half - 1 :]] = 0.0
    limit = max(_LEAST_CHANGE, 6.0 * 1.4826 * float(np.median(change)))
    for number in np.flatnonzero((change > limit).any(axis=1)):
        first = int(np.argmax(change[number] > limit))
        top = first + int(np.argmax(change[number, first : first + 2 * half]))
        ends[number] = _half_way(values[number], steps, top + half, half)
    return ends


def _change(values: Pixels, half: int) -> Pixels:
    """Give the mean of `half` values ahead of each place less the mean of as many behind; the first place is `half`."""
    sums = np.cumsum(np.column_stack((np.zeros(len(values)), values)), axis=1)
    ahead, behind = sums[:, 2 * half :] - sums[:, half:-half], sums[:, half:-half] - sums[:, : -2 * half]
    change: Pixels = (ahead - behind) / half
    return change


def _half_way(values: Pixels, steps: Pixels, middle: int, half: int) -> float:
    """Give where the grey is half-way between the paper and the extreme behind a change found at `middle`."""
    paper = float(values[max(0, middle - 5 * half) : max(1, middle - 2 * half)].mean())
    after = values[middle : middle + 3 * half] - paper
    most = float(after[int(np.argmax(np.abs(after)))])
    start = max(0, middle - 2 * half)
    share = (values[start : middle + 3 * half] - paper) / (most or 1.0)
    passed = int(np.argmax(share >= 0.5))
    at = start + passed
    if passed == 0:
        return float(steps[at])
    low, high = float(share[passed - 1]), float(share[passed])
    return float(steps[at - 1] + (steps[at] - steps[at - 1]) * (0.5 - low) / (high - low))


def _straight(along: Pixels, ends: Pixels) -> tuple[float, float] | None:
    """Give the straight line through most ends as (distance at 0, slant); None when too few lie on one."""
    seen = ~np.isnan(ends)
    if seen.sum() < _LEAST_SEEN * len(along):
        return None
    at, end = along[seen], ends[seen]
    tried = np.linspace(0, len(at) - 1, 40).astype(int)
    best: Pixels | None = None
    for one in tried:
        for other in tried[tried > one]:
            slant = (end[other] - end[one]) / (at[other] - at[one])
            if abs(slant) > _MOST_SLANT:
                continue
            near = np.abs(end - end[one] - slant * (at - at[one])) < _NEAR_MM
            if best is None or near.sum() > best.sum():
                best = near
    if best is None or best.sum() < _LEAST_SEEN * len(along):
        return None
    for _ in range(3):
        slant, first = np.polyfit(at[best], end[best], 1)
        best = np.abs(end - first - slant * at) < _NEAR_MM
    return float(first), float(slant)
