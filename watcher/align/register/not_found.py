"""Say why a scan cannot be measured: a photo, bent, blurred, faint ink, or something else than the target."""

import numpy as np

from watcher.align.register.blur import measure_blur
from watcher.align.register.page_in_scan import LEAST_MARKS, PageInScan, RingsInScan, ppi_by_size
from watcher.align.register.rings import smaller
from watcher.align.register.scan_file import Scan
from watcher.align.register.target import Target, ring_radius
from watcher.terms import Side
from watcher.units import MM_PER_INCH

FLATBED = "Lay the whole sheet flat on the glass of a flatbed scanner, lid closed, and scan it in grey at 300 ppi."
MOST_BENT_MM = (
    0.15  # of a ring from where the others say; flatbeds leave a hundredth (measured), a photo at 1 degree 0.5
)
SURELY_BENT_MM = 0.03  # where something else speaks against the scan too
# Standard deviation of the blur. Beyond it a shadow on a light lid moves the paper's edge (`paper_edge`). At 0.3 the
# worst corner is off by 0.09 mm with black behind one scan and a white lid behind the other (measured, made-up scans)
MOST_BLUR_MM = 0.32
_SIZES_ALIKE = 0.005  # between the rings of one scan; flatbeds: 0.0005 (measured)
_SIZES_OF_A_PHOTO = 0.015  # between rings that could not be told to be marks
_SHARES = tuple(1.15**-step for step in range(9))  # of the picture that the sheet fills, where a photo is looked for
_NO_INK, _LEAST_INK = 0.03, 0.25  # of the paper's lightness
_TOGETHER_PX = 3  # against noise
_MIDDLE = (0.2, 0.8)  # of the picture, where there is paper and print


def bent_fault(page: PageInScan, most_mm: float = MOST_BENT_MM) -> str | None:
    """Say why a page whose rings were found was not scanned flat; None when it was."""
    if page.bent_mm <= most_mm:
        return None
    smallest, largest = min(page.radii.values()), max(page.radii.values())
    if largest / smallest - 1 > _SIZES_ALIKE:
        return _photo(page.scan.file, largest / smallest - 1)
    return (
        f"{page.scan.file} shows the sheet bent: its rings lie up to {page.bent_mm:.2f} mm from where they stand on "
        f"flat paper. Either the sheet did not lie flat or the scanner's head jumped. {FLATBED}"
    )


def blur_fault(page: PageInScan) -> str | None:
    """Say that a scan is too blurred to show where the paper ends; None when it is not."""
    blur_mm = measure_blur(page)
    if blur_mm <= MOST_BLUR_MM:
        return None
    return (
        f"{page.scan.file} is too blurred: an edge is smeared over {2 * blur_mm:.1f} mm, and where the paper ends "
        f"cannot be told to a tenth of a millimetre. {FLATBED}"
    )


def why_not_found(rings: RingsInScan, target: Target) -> str:
    """Say why the target is not found in a scan."""
    scan = rings.scan
    ink = _ink(scan)
    if _NO_INK < ink < _LEAST_INK:
        return (
            f"The print on {scan.file} is too faint: it is only {ink:.0%} darker than the paper; {_LEAST_INK:.0%} is "
            "needed. Scan it darker or with more contrast; if the print itself is pale, print "
            "the target with fresh toner or ink, without toner saving."
        )
    return (
        f"{scan.file} does not show the register target of this sheet: fewer than {LEAST_MARKS} of its rings are "
        f"there. Is it another sheet, or has its size or unprintable rim changed in the settings? {FLATBED}"
    )


def angle_fault(rings: RingsInScan, target: Target) -> str | None:
    """Say that a picture was taken at an angle, its rings being of different sizes; None for others."""
    differ = _sizes_differ(rings, target)
    return _photo(rings.scan.file, differ) if differ > _SIZES_OF_A_PHOTO else None


def photo_fault(scan: Scan) -> str | None:
    """Say that a picture is a photo, when its file tells an exposure; None for others."""
    if not scan.is_photo:
        return None
    return (
        f"{scan.file} is a photo: its file tells the exposure. No photo is true to a tenth of a millimetre. {FLATBED}"
    )


def _photo(file: str, differ: float) -> str:
    return (
        f"{file} is a photo or was taken at an angle: of its rings, which are all alike on the paper, the largest is "
        f"{differ:.1%} larger than the smallest. No photo is true to a tenth of a millimetre. {FLATBED}"
    )


def _sizes_differ(rings: RingsInScan, target: Target) -> float:
    """Give by how much the rings differ, at the resolution that shows most; 0 for fewer than three."""
    most: list[float] = []
    for ppi in (
        *([rings.scan.ppi] if rings.scan.ppi else []),
        *(ppi_by_size(rings.scan, target) * share for share in _SHARES),
    ):
        for side in Side:
            nominal = float(ring_radius(side)) * ppi / float(MM_PER_INCH)
            radii = [ring.radius for ring in rings.of(side, ppi) if 0.85 < ring.radius / nominal < 1.15]
            most = max(most, radii, key=len)
    return max(most) / min(most) - 1 if len(most) > 2 else 0.0


def _ink(scan: Scan) -> float:
    """Give the contrast in the middle of a scan: darkest against lightest, 0 to 1."""
    height, width = scan.grey.shape
    rows, columns = (slice(int(size * _MIDDLE[0]), int(size * _MIDDLE[1])) for size in (height, width))
    ink, paper = np.percentile(smaller(scan.grey[rows, columns], _TOGETHER_PX), (0.2, 90))
    return float((paper - ink) / max(paper, 1.0))
