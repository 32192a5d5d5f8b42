"""Measure the register target from two flatbed scans of one sheet, its front and its back.

What can be known. Two scans have nothing in common but the sheet itself; nothing can be said of where it lay on the
glass. So the sheet's own outline is the common frame: the left edge on the one scan is the right edge on the other. It
need not have its nominal size or be square, for no size is assumed (ISO 216 lets A4 be 2 mm off, more than any shift
that is looked for); only its edges must be straight and seen on both scans. The four corners, as met by the edges, tie
the scans together, which also takes out how each scanner axis stretches and shears. Where one edge lies hidden under
the frame of the glass on both scans (the same edge of the sheet), the two corners left tie them too, with less to check
by. What cannot be known from scans is whether the sheet was turned the way the settings say: an oblong looks the same
either way. The numbers behind each other on the paper tell, and the turn test; a sheet cut askew would show it here as
well.

What is read. The front's crosses and the back's zeros are the middles of their rings. A reading is the way from the
back's zero to the front's cross behind it, in the back page's own axes and in millimetres as that page has printed
them: just what a pin says. Neither the resolution in the file nor the printer's scale comes in.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from watcher.align.register.label import Label, Use
from watcher.align.register.label_in_scan import Unread, read_label
from watcher.align.register.not_found import (
    SURELY_BENT_MM,
    angle_fault,
    bent_fault,
    blur_fault,
    photo_fault,
    why_not_found,
)
from watcher.align.register.outline import corners, find_edges
from watcher.align.register.page_in_scan import LEAST_MARKS, PageInScan, RingsInScan, find_page, fit_affine
from watcher.align.register.rings import Pixels
from watcher.align.register.scan_file import Scan, ScanRefused
from watcher.align.register.target import Target
from watcher.align.register.wrong_label import label_fault, pair_fault
from watcher.layout.backs import turns_about_vertical_axis
from watcher.layout.register.alignment import Correction
from watcher.layout.register.readings import Reading
from watcher.settings.alignment import command_for
from watcher.terms import Edge, Side

MOST_READING_MM = 10.0
_MOST_CORNER_OFF_MM = 0.1  # between the outlines of one sheet on two scans; a lifted corner is off by four times that
_SURELY_OFF_MM = 0.12
_ACROSS = {Edge.LEFT: Edge.RIGHT, Edge.RIGHT: Edge.LEFT, Edge.TOP: Edge.BOTTOM, Edge.BOTTOM: Edge.TOP}

_Corners = dict[tuple[Edge, Edge], Pixels]


@dataclass(frozen=True, kw_only=True)
class ScannedSheet:
    """The result of two scans of a sheet.

    Attributes:
        readings: one a mark that is seen on both.
        missing: numbers of the marks that are not.
        corners: how many corners of the sheet tie the scans together.
        use: whether it was printed to be measured, or as a proof of the correction.
        run: of the files that it was printed from.
    """

    readings: tuple[Reading, ...]
    missing: tuple[int, ...]
    corners: int
    use: Use
    run: int


@dataclass(frozen=True, kw_only=True, eq=False)
class _FrontToBack:
    """The map of points of the front scan to the back scan, pixels."""

    linear: Pixels
    offset: Pixels
    corners: int
    off_mm: float


def read_scans(
    one: Scan,
    other: Scan,
    target: Target,
    *,
    known: Sequence[Target] = (),
    correction: Correction | None = None,
) -> ScannedSheet:
    """Measure one sheet from its two scans, in either order.

    Args:
        one: a scan of one side.
        other: a scan of the other.
        target: what they should show.
        known: the targets of all printers and sheets in the settings, to say what it is when it is another.
        correction: the one in force, which a proof must have been printed with.

    Raises:
        ScanRefused: the target or the outline of the sheet is not found on one of them, the outlines do not agree, or
            the sheet says by its dots that it is something else.
    """
    front, back = _pages(one, other, target, known)
    label = _label(front, back, target, known, correction)
    for page in (front, back):
        _refuse(bent_fault(page))
        _refuse(blur_fault(page))
    onto_back = _fit_outlines(front, back, target)
    common = sorted(front.marks.keys() & back.marks.keys())
    if len(common) < LEAST_MARKS:
        raise ScanRefused(f"Only {len(common)} marks are seen on both scans; {LEAST_MARKS} are needed. Scan it again.")
    missing = tuple(mark.number for mark in target.marks if mark.number not in common)
    return ScannedSheet(
        readings=tuple(_readings(front, back, onto_back, target, common)),
        missing=missing,
        corners=onto_back.corners,
        use=label.use,
        run=label.run,
    )


def _reading(target: Target, number: int, right: float, up: float) -> Reading:
    if max(abs(right), abs(up)) > MOST_READING_MM:
        raise ScanRefused(
            f"Mark {number} lies {max(abs(right), abs(up)):.0f} mm away from its cross. This is not the register "
            "target of this sheet, or its pages were not printed on one sheet at actual size."
        )
    return Reading(
        mark=number, place=target.mark(number).back, right=Fraction(f"{right:.4f}"), up=Fraction(f"{up:.4f}")
    )


def _readings(
    front: PageInScan, back: PageInScan, onto_back: _FrontToBack, target: Target, marks: Sequence[int]
) -> Iterator[Reading]:
    """Give how far the cross of each mark lies from the middle of its scale, measured on the back page."""
    to_mm = np.linalg.inv(back.linear)
    for number in marks:
        cross = onto_back.linear @ front.marks[number] + onto_back.offset
        right, up = to_mm @ (cross - back.marks[number])
        yield _reading(target, number, float(right), float(up))


def _pages(one: Scan, other: Scan, target: Target, known: Sequence[Target]) -> tuple[PageInScan, PageInScan]:
    """Find the page on each scan, and give the front first."""
    pages = [_page(scan, target, known) for scan in (one, other)]
    if pages[0].side is pages[1].side:
        raise ScanRefused(
            f"{one.file} and {other.file} both show the {pages[0].side} of the register target. Scan the other side "
            "too."
        )
    return (pages[0], pages[1]) if pages[0].side is Side.FRONT else (pages[1], pages[0])


def _page(scan: Scan, target: Target, known: Sequence[Target]) -> PageInScan:
    """Find the page on a scan; where it is another than wanted, refuse it by name."""
    _refuse(photo_fault(scan))
    rings = RingsInScan(scan)
    refused: ScanRefused | None = None
    try:
        page = find_page(rings, target)
    except ScanRefused as error:
        page, refused = None, error
    if page is None:
        _refuse(_another(rings, target, known))
        _refuse(angle_fault(rings, target))
        raise refused or ScanRefused(why_not_found(rings, target))
    return page


def _another(rings: RingsInScan, target: Target, known: Sequence[Target]) -> str | None:
    """Say which other target of the settings a scan shows; None when it shows none of them."""
    for other in known:
        if other == target:
            continue
        try:
            page = find_page(rings, other)
        except ScanRefused:
            continue
        label = read_label(page, other) if page else Unread.ABSENT
        if isinstance(label, Label):
            return label_fault(rings.scan.file, label, target, known, None)
    return None


def _label(
    front: PageInScan, back: PageInScan, target: Target, known: Sequence[Target], correction: Correction | None
) -> Label:
    """Read the labels of both pages and check that they are of one sheet that can be used."""
    labels = []
    for page in (front, back):
        label = read_label(page, target)
        if isinstance(label, Unread):  # the marks of many sheets lie alike, but not their dots
            _refuse(_another(RingsInScan(page.scan), target, known))
            _refuse(bent_fault(page))
        _refuse(label_fault(page.scan.file, label, target, known, correction))
        labels.append(label)
    one, other = (label for label in labels if isinstance(label, Label))
    files = (front.scan.file, back.scan.file)
    _refuse(pair_fault(files, (one, other), command_for(target.printer, target.sheet_name)))
    return one


def _refuse(fault: str | None) -> None:
    if fault is not None:
        raise ScanRefused(fault)


def _fit_outlines(front: PageInScan, back: PageInScan, target: Target) -> _FrontToBack:
    """Fit the outline on the front scan to the mirrored outline on the back scan."""
    on_front, on_back = _outline(front, target), _outline(back, target)
    vertical = turns_about_vertical_axis(target.sheet, target.flip)
    onto_back = _fit_corners(on_front, on_back, back.px_per_mm, vertical=vertical)
    if onto_back is None:
        raise ScanRefused(
            f"{front.scan.file} and {back.scan.file} do not show the same edges of the sheet. Lay dark paper behind "
            "it, so that its whole outline shows on both; where the glass is too small, cut a strip off the sheet "
            "first."
        )
    other = _fit_corners(on_front, on_back, back.px_per_mm, vertical=not vertical)
    flat = all(bent_fault(page, SURELY_BENT_MM) is None for page in (front, back))
    if (
        flat
        and other
        and onto_back.off_mm > _SURELY_OFF_MM
        and other.corners == 4
        and other.off_mm < onto_back.off_mm / 3
    ):
        raise ScanRefused(
            "By its outline the sheet was not turned as the settings say: its back lies the other way round. Do the "
            "turn test first."
        )
    if onto_back.off_mm > _MOST_CORNER_OFF_MM:
        for page in (front, back):
            _refuse(bent_fault(page, SURELY_BENT_MM))
        raise ScanRefused(
            f"The outlines of the sheet on {front.scan.file} and {back.scan.file} differ by {onto_back.off_mm:.2f} mm. "
            "Are they of the same sheet? It must lie flat, all edges straight and on dark paper."
        )
    return onto_back


def _outline(page: PageInScan, target: Target) -> _Corners:
    """Find the corners of the sheet in a scan, pixels, named as the page is read."""
    found = corners(find_edges(page, target))
    return {name: page.in_pixels(corner[np.newaxis, :])[0] for name, corner in found.items()}


def _fit_corners(on_front: _Corners, on_back: _Corners, px_per_mm: float, *, vertical: bool) -> _FrontToBack | None:
    """Fit the map by the corners that both scans have; None when these are fewer than two."""
    pairs = [
        (corner, on_back[behind])
        for (level, upright), corner in on_front.items()
        for behind in (((level, _ACROSS[upright]) if vertical else (_ACROSS[level], upright)),)
        if behind in on_back
    ]
    if len(pairs) < 2:
        return None
    points, onto = np.array([one for one, _ in pairs]), np.array([other for _, other in pairs])
    linear, offset = fit_affine(points, onto) if len(pairs) == 4 else _mirrored(points, onto)
    off = np.hypot(*(points @ linear.T + offset - onto).T).max() / px_per_mm
    return _FrontToBack(linear=linear, offset=offset, corners=len(pairs), off_mm=float(off))


def _mirrored(points: Pixels, onto: Pixels) -> tuple[Pixels, Pixels]:
    """Fit the mirroring, turn, scale and shift that bring two or three points nearest to others."""
    from_middle = (points - points.mean(axis=0)) @ (1, -1j)  # mirrored: up becomes down
    to_middle = (onto - onto.mean(axis=0)) @ (1, 1j)
    turn = np.vdot(from_middle, to_middle) / np.vdot(from_middle, from_middle)
    linear = np.array([[turn.real, turn.imag], [turn.imag, -turn.real]])
    return linear, onto.mean(axis=0) - linear @ points.mean(axis=0)


def marks_in_words(missing: Sequence[int]) -> str:
    """List marks: `mark 3`, `marks 3 and 4`."""
    numbers = [str(number) for number in missing]
    return f"mark {numbers[0]}" if len(numbers) == 1 else f"marks {', '.join(numbers[:-1])} and {numbers[-1]}"
