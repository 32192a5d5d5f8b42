"""What stands along the four edges of a card, measured on the small picture of its art.

Each edge is seen as a band: rows run from the outermost pixel that is printed inwards, columns along the edge. A mark
is a place where a colour changes by `CONTRAST` within two pixels. Marks that are joined to the outermost pixels bleed
off; those along the whole band are a border or a stripe; what is neither stands there. Where marks bleed off nearby, or
all round the card, a picture or a pattern runs over the edge, and what stands there is taken for a part of it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from watcher.art.fit import trim_box
from watcher.art.model import CardFace, Fit, Look
from watcher.layout.geometry import Size
from watcher.settings.model import CardSettings
from watcher.terms import Edge

CONTRAST = 30  # levels of 255; the grain of photos and traces of JPEG stay below, light grey type does not (measured)
_INWARDS_MM = 1.5  # how far past the safe line a band reaches: what stands half in it is seen whole
_CELL_MM = 0.5  # marks closer than this belong together
_ALONG = 0.7  # a line along so much of the band is a border or a stripe, nothing that stands there
_EARLIER = 0.03  # and so little may lie outside of it
_EVEN = 16  # levels by which the colour outside of a border may differ, but for a tenth of its area
_ENDS = 0.05  # left out at both ends of a band when a border is looked for: corners may be round
_LEAST_CELLS = 3  # fewer are dust
_OUTERMOST_MM = 1.0  # what bleeds off is looked for so far from the art's edge where the art ends at the trim
# Found on the drawn designs of tests/art/test_designs.py: a picture or a pattern runs over the edge where something
# bleeds off so near, or where things bleed off at so many places on so many sides that no longer stretch is free.
_NEARBY_MM = 12.0
_MANY, _SIDES_OF_PATTERN, _LONGEST_FREE = 6, 3, 1 / 3
# Or where the whole card is full (marks in nine of ten blocks, five of which make its shorter side) and some bleed off.
_BLOCKS, _FILLED, _SOME, _GLANCE_PX = 5, 0.9, 3, 350

Mask = NDArray[np.bool_]
# Several checks ask for the same edges; they are forgotten with the picture.
_KNOWN: "WeakKeyDictionary[Look, dict[tuple[Fit, Size, Fraction], tuple[EdgeLook, ...]]]" = WeakKeyDictionary()


@dataclass(frozen=True, kw_only=True)
class Border:
    """A straight change of colour along an edge.

    Attributes:
        inside_mm: how far inside the trim it runs; negative: past the trim.
        outer: the colour outside of it, RGB.
    """

    inside_mm: float
    outer: tuple[int, int, int]


@dataclass(frozen=True, kw_only=True)
class EdgeLook:
    """One edge of the card.

    Attributes:
        edge: which.
        past_trim_mm: how far the art is printed past the trim.
        border: what runs along the whole edge, the outermost; None for nothing.
        nearest_mm: how far inside the trim the nearest thing stands that does not bleed off; None for none.
        crosses: whether such a thing lies across the trim line.
    """

    edge: Edge
    past_trim_mm: float
    border: Border | None
    nearest_mm: float | None
    crosses: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class _Band:
    """The pixels along an edge, colours x rows x columns; sizes of a pixel inwards and along, mm."""

    edge: Edge
    pixels: NDArray[np.int16]
    inwards_mm: float
    along_mm: float
    past_trim_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class _Marked:
    """The marks of a band, and the same in cells of `_CELL_MM`.

    Attributes:
        band: the band.
        marks: by pixel.
        cell: rows and columns of a cell.
        loose: cells of marks that are joined to nothing that bleeds off and to no line along the band.
        bleeding: by column of cells: whether something bleeds off there.
    """

    band: _Band
    marks: Mask
    cell: tuple[int, int]
    loose: Mask
    bleeding: Mask


def look_at_edges(face: CardFace, card: CardSettings) -> tuple[EdgeLook, ...]:
    """The edges of a card that its art reaches; none where there is no picture of it."""
    if face.art.look is None:
        return ()
    known = _KNOWN.setdefault(face.art.look, {})
    key = (face.fit, card.trim, card.safe)
    if key not in known:
        marked = [_mark(band) for band in _bands(face, face.art.look, card)]
        free = _free_columns(marked, all_over=_is_all_over(face, card))
        known[key] = tuple(
            _look_at_edge(one, columns, float(card.safe)) for one, columns in zip(marked, free, strict=True)
        )
    return known[key]


def within_trim(face: CardFace, card: CardSettings) -> NDArray[np.uint8] | None:
    """The small picture inside the trim; None where there is none."""
    if face.art.look is None:
        return None
    box, trim = face.fit.box, trim_box(card)
    pixels = face.art.look.picture
    height, width = pixels.shape[:2]
    left, right = (_pixel(side - box.left, box.width, width) for side in (trim.left, trim.right))
    top, bottom = (_pixel(box.top - side, box.height, height) for side in (trim.top, trim.bottom))
    return pixels[top : max(bottom, top + 1), left : max(right, left + 1)]


def _pixel(at: Fraction, length: Fraction, pixels: int) -> int:
    return min(max(round(float(at / length) * pixels), 0), pixels - 1 if at < length else pixels)


def _bands(face: CardFace, look: Look, card: CardSettings) -> Iterator[_Band]:
    """The bands of the edges at which the art reaches the trim at least (padded art leaves paper at two)."""
    box, trim = face.fit.box, trim_box(card)
    shown = trim.grown(face.fit.bleed).meet(box)
    height, width = look.picture.shape[:2]
    left, right = (_pixel(side - box.left, box.width, width) for side in (shown.left, shown.right))
    top, bottom = (_pixel(box.top - side, box.height, height) for side in (shown.top, shown.bottom))
    seen = look.picture[top:bottom, left:right]
    across, upwards = float(box.width) / width, float(box.height) / height
    sides = (
        (Edge.TOP, seen, upwards, across, shown.top - trim.top),
        (Edge.RIGHT, seen[:, ::-1].swapaxes(0, 1), across, upwards, shown.right - trim.right),
        (Edge.BOTTOM, seen[::-1], upwards, across, trim.bottom - shown.bottom),
        (Edge.LEFT, seen.swapaxes(0, 1), across, upwards, trim.left - shown.left),
    )
    for edge, pixels, inwards, along, past in sides:
        depth = int((float(past) + float(card.safe) + _INWARDS_MM) / inwards) + 1
        depth = min(depth, pixels.shape[0] // 2)
        if past >= 0 and depth >= 3 and pixels.shape[1] >= 3:
            planes = np.ascontiguousarray(pixels[:depth].transpose(2, 0, 1)).astype(np.int16)
            yield _Band(edge=edge, pixels=planes, inwards_mm=inwards, along_mm=along, past_trim_mm=float(past))


def _mark(band: _Band) -> _Marked:
    marks = _marks(band.pixels)
    cell = max(1, round(_CELL_MM / band.inwards_mm)), max(1, round(_CELL_MM / band.along_mm))
    cells = _pooled(marks, cell)
    if not marks.any():
        return _Marked(band=band, marks=marks, cell=cell, loose=cells, bleeding=cells[0])
    seeds = marks & (marks.mean(axis=1) >= _ALONG)[:, None]
    lines = _pooled(seeds, cell)
    seeds[0], seeds[:, 0], seeds[:, -1] = marks[0], marks[:, 0], marks[:, -1]
    joined = _flooded(cells, _pooled(seeds, cell))
    outside = max(1, round(max(band.past_trim_mm, _OUTERMOST_MM) / band.inwards_mm / cell[0]))
    off = joined & ~np.asarray(lines.any(axis=1))[:, None]
    bleeding = np.asarray(off[:outside].any(axis=0))
    return _Marked(band=band, marks=marks, cell=cell, loose=cells & ~joined, bleeding=bleeding)


def _marks(planes: NDArray[np.int16]) -> Mask:
    """Where a colour changes: between the two neighbours of a pixel, inwards or along."""
    marks = np.zeros(planes.shape[1:], bool)
    for plane in planes:
        inwards, along = np.abs(plane[2:] - plane[:-2]), np.abs(plane[:, 2:] - plane[:, :-2])
        marks[1:-1] |= inwards >= CONTRAST
        marks[:, 1:-1] |= along >= CONTRAST
        marks[0] |= np.abs(plane[1] - plane[0]) >= CONTRAST
    return marks


def _is_all_over(face: CardFace, card: CardSettings) -> bool:
    """Whether there is something nearly everywhere on the card, as in a photo or a pattern (or a page full of text)."""
    pixels = within_trim(face, card)
    if pixels is None or min(pixels.shape[:2]) < 2 * _BLOCKS:
        return False
    step = max(1, max(pixels.shape[:2]) // _GLANCE_PX)
    marks = _marks(np.ascontiguousarray(pixels[::step, ::step].transpose(2, 0, 1)).astype(np.int16))
    side = max(1, min(marks.shape) // _BLOCKS)
    whole = marks[: marks.shape[0] // side * side, : marks.shape[1] // side * side]
    return float(_pooled(whole, (side, side)).mean()) >= _FILLED


def _free_columns(marked: Sequence[_Marked], *, all_over: bool) -> list[Mask]:
    """For each band its columns of cells where no picture or pattern runs over the edge."""
    runs = sum(int(np.count_nonzero(np.diff(one.bleeding.astype(np.int8), prepend=0) > 0)) for one in marked)
    if all_over and runs >= _SOME:
        return [np.zeros(len(one.bleeding), bool) for one in marked]
    free = [~_near(one.bleeding, one.cell[1] * one.band.along_mm) for one in marked]
    if len(marked) < 4:
        return free
    # once round the card: top from left to right, right from top to bottom, and back
    turned = [one.bleeding[:: 1 if one.band.edge in (Edge.TOP, Edge.RIGHT) else -1] for one in marked]
    places = np.flatnonzero(np.concatenate(turned))
    length = sum(len(one) for one in turned)
    if len(places) == 0 or np.count_nonzero(np.diff(places) > 1) + 1 < _MANY:
        return free
    middles = sum(bool(one[len(one) // 4 : len(one) - len(one) // 4].any()) for one in turned)
    gaps = np.diff(np.append(places, places[0] + length))
    if middles < _SIDES_OF_PATTERN:
        return free
    wide = np.zeros(length, bool)
    for start in np.flatnonzero(gaps > _LONGEST_FREE * length):
        wide[np.arange(places[start], places[start] + gaps[start]) % length] = True
    for number, one in enumerate(turned):
        part, wide = wide[: len(one)], wide[len(one) :]
        free[number] &= part if marked[number].band.edge in (Edge.TOP, Edge.RIGHT) else part[::-1]
    return free


def _near(bleeding: Mask, cell_mm: float) -> Mask:
    """The columns within reach of one where something bleeds off."""
    reach = int(_NEARBY_MM / cell_mm)
    count = np.cumsum(np.pad(bleeding, (reach + 1, reach)))
    return np.asarray(count[2 * reach + 1 :] - count[: -2 * reach - 1] > 0)


def _look_at_edge(marked: _Marked, free: Mask, safe_mm: float) -> EdgeLook:
    near, crosses = _standing(marked, free, safe_mm)
    band = marked.band
    border = _border(band, marked.marks)
    return EdgeLook(edge=band.edge, past_trim_mm=band.past_trim_mm, border=border, nearest_mm=near, crosses=crosses)


def _border(band: _Band, marks: Mask) -> Border | None:
    depth, length = marks.shape
    ends = int(length * _ENDS)
    inner = marks[:, ends : length - ends]
    first = np.where(inner.any(axis=0), inner.argmax(axis=0), depth)
    counts = np.bincount(first, minlength=depth + 1)[:depth]
    about = int(np.convolve(counts, (1, 1, 1), "same").argmax())
    lowest = max(about - 1, 0)
    near = counts[lowest : about + 2]
    at = lowest + int(near.argmax())
    if near.sum() < _ALONG * len(first) or (first < lowest).mean() > _EARLIER:
        return None
    outside = band.pixels[:, : max(at, 1), ends : length - ends].reshape(3, -1)
    colour = np.median(outside, axis=1)
    if np.quantile(np.abs(outside - colour[:, None]).max(axis=0), 0.9) > _EVEN:
        return None
    return Border(
        inside_mm=(at + 1) * band.inwards_mm - band.past_trim_mm,
        outer=(int(colour[0]), int(colour[1]), int(colour[2])),
    )


def _standing(marked: _Marked, free: Mask, safe_mm: float) -> tuple[float | None, bool]:
    """How near to the trim, inside of it, the nearest thing stands that does not bleed off; whether one crosses it."""
    loose = marked.loose & free
    if not loose.any():
        return None, False
    marks, band, cell = marked.marks, marked.band, marked.cell
    rows = (np.arange(len(marks)) + 1) * band.inwards_mm - band.past_trim_mm
    stands = marks & np.repeat(np.repeat(loose, cell[0], 0), cell[1], 1)[: marks.shape[0], : marks.shape[1]]
    zone = stands & ((rows > 0) & (rows < safe_mm))[:, None]
    if _pooled(zone, cell).sum() < _LEAST_CELLS:
        return None, False
    past = (stands & (rows < -_CELL_MM / 2)[:, None]).any(axis=0)
    return float(rows[zone.any(axis=1)].min()), bool((past & zone.any(axis=0)).any())


def _pooled(mask: Mask, cell: tuple[int, int]) -> Mask:
    """Cells of so many rows and columns in which there is anything."""
    rows, columns = cell
    high, wide = -(-mask.shape[0] // rows), -(-mask.shape[1] // columns)
    padded = np.zeros((high * rows, wide * columns), bool)
    padded[: mask.shape[0], : mask.shape[1]] = mask
    down = np.logical_or.reduce([padded[row::rows] for row in range(rows)])
    return np.asarray(np.logical_or.reduce([down[:, column::columns] for column in range(columns)]))


def _flooded(mask: Mask, seeds: Mask) -> Mask:
    """All of the mask that is joined to the seeds, corners too: sweeps inwards and outwards until nothing changes."""
    reached = mask & seeds
    labels = np.cumsum(mask & ~np.pad(mask, ((0, 0), (1, 0)))[:, :-1], axis=1)  # runs of each row, numbered from 1
    order = range(len(mask))
    while True:
        before = int(reached.sum())
        for rows in (order, reversed(order)):
            last = np.zeros(mask.shape[1], bool)
            for row in rows:
                touched = last.copy()
                touched[1:] |= last[:-1]
                touched[:-1] |= last[1:]
                hit = np.zeros(int(labels[row, -1]) + 1, bool)
                hit[labels[row, mask[row] & (touched | reached[row])]] = True
                reached[row] |= mask[row] & hit[labels[row]]
                last = reached[row]
        if int(reached.sum()) == before:
            return reached
