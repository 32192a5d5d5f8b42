"""Find the printed page in a scan: which ring is which mark, and which way up the page lies.

The six middles of the target's rings are the corners and sides of a rectangle, which looks the same upside down; the
dot beside mark 1 decides. A page scanned mirrored has its dot where none can be, and is refused.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from watcher.align.register.rings import Pixels, Ring, SmallCopy, find_rings, make_ready, sample
from watcher.align.register.scan_file import Scan, ScanRefused
from watcher.align.register.target import DOT_RADIUS_MM, RING_WIDTH_MM, Target, ring_radius
from watcher.layout.geometry import Point
from watcher.terms import Side
from watcher.units import MM_PER_INCH

LEAST_MARKS = 4  # of six; three would fit any three round things
_USUAL_PPI = (300.0, 600.0, 200.0, 150.0, 400.0, 240.0, 1200.0, 100.0)
_FAINT = (0.5, 0.25)  # of the darkest in the scan, which may be the lid: tried where the usual finds nothing
_LIKELY = 3  # resolutions that faint ink is looked for at
_LEAST_SHEET_MM = 40.0
_MOST_SCALE_OFF = 0.04
_MOST_OFF_MM = 2.5  # from where a mark should be: printers and scanners squeeze by half a percent
_DARK, _LIGHT = 0.6, 0.3  # of the rings' own darkness
_FREE_MM = 0.6  # beside a ring's line: blank paper


@dataclass(frozen=True, kw_only=True, eq=False)
class PageInScan:
    """A printed page found in a scan.

    Attributes:
        scan: it.
        side: of the sheet.
        marks: the middle of each ring by the mark's number; pixels, x right, y up.
        radii: of each ring, pixels.
        linear, offset: a point p of the page (mm) lies at `linear @ p + offset`.
        bent_mm: how far a ring's middle lies from where the others say, at most.
    """

    scan: Scan
    side: Side
    marks: dict[int, Pixels]
    radii: dict[int, float]
    linear: Pixels
    offset: Pixels
    bent_mm: float

    @property
    def px_per_mm(self) -> float:
        """Give the true resolution of the scan."""
        return float(np.sqrt(abs(np.linalg.det(self.linear))))

    def in_pixels(self, points_mm: Pixels) -> Pixels:
        """Convert points of the page (n x 2, mm) to pixels of the scan."""
        placed: Pixels = points_mm @ self.linear.T + self.offset
        return placed

    @property
    def ink(self) -> float:
        """Give how much darker the rings are than the paper around them, grey values."""
        return float(np.median([self._ring_ink(number) for number in self.marks]))

    def _ring_ink(self, number: int) -> float:
        angles, middle = np.linspace(0, 2 * np.pi, 180, endpoint=False), self.marks[number]
        free = (float(RING_WIDTH_MM) / 2 + _FREE_MM) * self.px_per_mm
        paper, line = (
            sample(
                self.scan.grey,
                middle[0] + radius * np.cos(angles),
                self.scan.grey.shape[0] - 1 - middle[1] + radius * np.sin(angles),
            )
            for radius in (self.radii[number] + free, self.radii[number])
        )
        return float(np.median(paper) - np.median(line))


class RingsInScan:
    """The rings of a scan, cached by resolution and size, since several targets may be tried on it."""

    def __init__(self, scan: Scan) -> None:
        self.scan = scan
        self._copies: dict[tuple[float, float], SmallCopy] = {}
        self._rings: dict[tuple[float, float, Side], list[Ring]] = {}

    def of(self, side: Side, ppi: float, faint: float = 1.0) -> list[Ring]:
        """Find the rings of one side at a resolution; none when the scan is too small for that."""
        px_per_mm = ppi / float(MM_PER_INCH)
        if px_per_mm * _LEAST_SHEET_MM > min(self.scan.grey.shape):
            return []
        key = (ppi, faint, side)
        if key not in self._rings:
            if key[:2] not in self._copies:
                self._copies[key[:2]] = make_ready(self.scan.grey, px_per_mm, faint)
            self._rings[key] = find_rings(self._copies[key[:2]], float(ring_radius(side)))
        return self._rings[key]


def find_page(rings: RingsInScan, target: Target) -> PageInScan | None:
    """Find the target's front or back in a scan; None when too few of its rings are there.

    Raises:
        ScanRefused: the rings are there, but not which way up; or the scan is mirrored.
    """
    scan = rings.scan
    for faint, ppi in _tries(scan, target):
        for side in Side:
            seen = rings.of(side, ppi, faint)
            px_per_mm = ppi / float(MM_PER_INCH)
            pages = _pages(scan, target, side, seen, px_per_mm) if len(seen) >= LEAST_MARKS else []
            if pages:
                return _right_way_up(pages, target)
    return None


def _tries(scan: Scan, target: Target) -> list[tuple[float, float]]:
    """Give the pairs of faintness and resolution to try, in order."""
    guesses = list(dict.fromkeys((*([scan.ppi] if scan.ppi else []), *_guesses(scan, target))))
    return [(1.0, ppi) for ppi in guesses] + [(faint, ppi) for faint in _FAINT for ppi in guesses[:_LIKELY]]


def ppi_by_size(scan: Scan, target: Target) -> float:
    """Give the resolution at which the sheet would just fill the scan."""
    return float(max(scan.grey.shape)) / (float(max(target.sheet.width, target.sheet.height)) / float(MM_PER_INCH))


def _guesses(scan: Scan, target: Target) -> Sequence[float]:
    """Resolutions to try when the file tells none, or a wrong one."""
    by_size = ppi_by_size(scan, target)
    return (*sorted(_USUAL_PPI, key=lambda ppi: abs(ppi - by_size)), by_size)


def _pages(scan: Scan, target: Target, side: Side, rings: list[Ring], px_per_mm: float) -> list[PageInScan]:
    """Give the ways in which most rings are marks: normally two, each upside down to the other."""
    page_mm = np.array([[float(mark.on(side).x), float(mark.on(side).y)] for mark in target.marks])
    seen_px = np.array([[ring.x, ring.y] for ring in rings])
    found: dict[tuple[tuple[int, int], ...], PageInScan] = {}
    for first, second in itertools.permutations(range(len(page_mm)), 2):
        for one, other in itertools.permutations(range(len(seen_px)), 2):
            pairs = _pairs(page_mm, seen_px, (first, second), (one, other), px_per_mm)
            if len(pairs) >= LEAST_MARKS and pairs not in found:
                found[pairs] = _fitted(scan, target, side, page_mm, rings, pairs)
    most = max((len(pairs) for pairs in found), default=0)
    return [page for pairs, page in found.items() if len(pairs) == most]


def _pairs(
    page_mm: Pixels, seen_px: Pixels, marks: tuple[int, int], rings: tuple[int, int], px_per_mm: float
) -> tuple[tuple[int, int], ...]:
    """Give which rings lie where marks should be, once two marks are taken for two rings."""
    page, seen = page_mm @ (1, 1j), seen_px @ (1, 1j)
    turn = (seen[rings[1]] - seen[rings[0]]) / (page[marks[1]] - page[marks[0]])
    if abs(abs(turn) / px_per_mm - 1) > _MOST_SCALE_OFF:
        return ()
    placed = seen[rings[0]] + turn * (page - page[marks[0]])
    away = np.abs(placed[:, np.newaxis] - seen[np.newaxis, :])
    nearest = away.argmin(axis=1)
    near = away[np.arange(len(page)), nearest] < _MOST_OFF_MM * px_per_mm
    pairs = tuple((mark, int(nearest[mark])) for mark in range(len(page)) if near[mark])
    return pairs if len({ring for _, ring in pairs}) == len(pairs) else ()


def _fitted(
    scan: Scan, target: Target, side: Side, page_mm: Pixels, rings: list[Ring], pairs: Sequence[tuple[int, int]]
) -> PageInScan:
    mm = page_mm[[mark for mark, _ in pairs]]
    px = np.array([(rings[ring].x, rings[ring].y) for _, ring in pairs])
    linear, offset = fit_affine(mm, px)
    off_px = float(np.hypot(*(mm @ linear.T + offset - px).T).max())
    return PageInScan(
        scan=scan,
        side=side,
        marks={target.marks[mark].number: place for (mark, _), place in zip(pairs, px, strict=True)},
        radii={target.marks[mark].number: rings[ring].radius for mark, ring in pairs},
        linear=linear,
        offset=offset,
        bent_mm=off_px / float(np.sqrt(abs(np.linalg.det(linear)))),
    )


def fit_affine(points: Pixels, onto: Pixels) -> tuple[Pixels, Pixels]:
    """Fit the matrix and the offset that bring points (n x 2) nearest to others, by least squares."""
    solved: Pixels = np.linalg.lstsq(np.column_stack((points, np.ones(len(points)))), onto, rcond=None)[0].astype(
        np.float64
    )
    return solved[:2].T, solved[2]


def _right_way_up(pages: list[PageInScan], target: Target) -> PageInScan:
    """Give the page whose dot is where it should be."""
    name = pages[0].scan.file
    upright = [page for page in pages if _darkness_at(page, target.dot(page.side)) > _DARK]
    others = [page for page in pages if page not in upright]
    if len(upright) == 1 and all(_darkness_at(page, target.dot(page.side)) < _LIGHT for page in others):
        return upright[0]
    if not upright and any(_dot_is_mirrored(page, target) for page in pages):
        raise ScanRefused(f"{name} is mirrored: its numbers read backwards. Switch mirroring off and scan it again.")
    raise ScanRefused(
        f"{name} does not show which way up the page lies: the black dot beside mark 1 is covered, cut off or doubled. "
        "Scan the sheet again, whole and clean."
    )


def _dot_is_mirrored(page: PageInScan, target: Target) -> bool:
    elsewhere = [target.beside(mark.on(page.side)) for mark in target.marks[1:]]
    return any(_darkness_at(page, place) > _DARK for place in elsewhere)


def _darkness_at(page: PageInScan, place: Point) -> float:
    """Give how dark a disc of the dot's size is against the paper around it; 1: as dark as the rings."""
    grey, middle = page.scan.grey, page.in_pixels(np.array([[float(place.x), float(place.y)]]))[0]
    inside = float(DOT_RADIUS_MM) * 0.7 * page.px_per_mm
    across = np.linspace(-inside, inside, 9)
    columns, rows = np.meshgrid(middle[0] + across, grey.shape[0] - 1 - middle[1] + across)
    around = 2.0 * float(DOT_RADIUS_MM) * page.px_per_mm
    angles = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    ring = sample(grey, middle[0] + around * np.cos(angles), grey.shape[0] - 1 - middle[1] + around * np.sin(angles))
    paper = float(np.median(ring))
    return (paper - float(sample(grey, columns, rows).mean())) / max(page.ink, 1.0)
