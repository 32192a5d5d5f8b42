"""Measure what stands along the four edges of a card, on the thumbnail of its art.

Each edge is seen as a strip: rows run from the outermost pixel that is printed inwards, columns along the edge. A mark
is a place where a colour changes by `CONTRAST` within two pixels. Marks that are joined to the outermost pixels bleed
off; those along the whole strip are a border or a stripe; what is neither stands there. Where marks bleed off nearby,
or all round the card, a picture or a pattern runs over the edge, and what stands there is taken for a part of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from weakref import WeakKeyDictionary

import numpy as np

from watcher.art.checks.edge_strips import (
    Mask,
    Strip,
    flooded,
    marks_of,
    near_any,
    pooled,
    runs_of,
    strips_of,
    within_trim,
)
from watcher.art.model import CardFace, Fit, Thumbnail
from watcher.layout.geometry import Size
from watcher.settings.card import CardSettings
from watcher.terms import Edge

_CELL_MM = 0.5  # marks closer than this belong together
_ALONG = 0.7  # a line along so much of the strip is a border or a stripe, nothing that stands there
_EARLIER = 0.03  # and so little may lie outside of it
_EVEN = 16  # levels by which the colour outside of a border may differ, but for a tenth of its area
_ENDS = 0.05  # left out at both ends of a strip when a border is looked for: corners may be round
_SPECK_CELLS, _GAP_CELLS = 5, 2  # what is smaller (stars, snow, dust) is left alone; what lies no farther apart is one
_OUTERMOST_MM = 1.0  # what bleeds off is looked for so far from the art's edge where the art ends at the trim
# Found on the drawn designs of tests/art/drawn_designs.py: a picture or a pattern runs over the edge where something
# bleeds off so near, or where things bleed off at so many places on so many sides that no longer stretch is free.
_NEARBY_MM = 12.0
_MANY, _SIDES_OF_PATTERN, _LONGEST_FREE = 6, 3, 1 / 3
# Or where the whole card is full (marks in nine of ten blocks, five of which make its shorter side) and some bleed off.
_BLOCKS, _FILLED, _SOME, _GLANCE_PX = 5, 0.9, 3, 350

# Several checks ask for the same edges; they are forgotten with the picture.
_KNOWN: "WeakKeyDictionary[Thumbnail, dict[tuple[Fit, Size, Fraction], tuple[EdgeMeasures, ...]]]" = WeakKeyDictionary()


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
class EdgeMeasures:
    """What was measured along one edge of a card.

    Attributes:
        edge: which.
        past_trim_mm: how far the art is printed past the trim.
        border: what runs along the whole edge, the outermost; None for nothing.
        nearest_mm: how far inside the trim the nearest thing stands that does not bleed off; None for none.
        crosses: whether such a thing lies across the trim line.
        stretches_mm: where along the edge such things stand: from and to, from the strip's beginning (the left, or the
            top).
    """

    edge: Edge
    past_trim_mm: float
    border: Border | None
    nearest_mm: float | None
    crosses: bool
    stretches_mm: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, kw_only=True, eq=False)
class _Marked:
    """The marks of a strip, and the same in cells of `_CELL_MM`.

    Attributes:
        strip: the strip.
        marks: by pixel.
        cell: rows and columns of a cell.
        loose: cells of marks that are joined to nothing that bleeds off and to no line along the strip.
        bleeding: by column of cells: whether something bleeds off there.
    """

    strip: Strip
    marks: Mask
    cell: tuple[int, int]
    loose: Mask
    bleeding: Mask


def measure_edges(face: CardFace, card: CardSettings) -> tuple[EdgeMeasures, ...]:
    """Measure the edges of a card that its art reaches; none where the art has no thumbnail."""
    if face.art.thumbnail is None:
        return ()
    known = _KNOWN.setdefault(face.art.thumbnail, {})
    key = (face.fit, card.trim, card.safe)
    if key not in known:
        marked = [_mark(strip) for strip in strips_of(face, face.art.thumbnail, card)]
        free = _free_columns(marked, all_over=_is_all_over(face, card))
        known[key] = tuple(
            _measure_edge(one, columns, float(card.safe)) for one, columns in zip(marked, free, strict=True)
        )
    return known[key]


def _mark(strip: Strip) -> _Marked:
    marks = marks_of(strip.pixels)
    cell = max(1, round(_CELL_MM / strip.inwards_mm)), max(1, round(_CELL_MM / strip.along_mm))
    cells = pooled(marks, cell)
    if not marks.any():
        return _Marked(strip=strip, marks=marks, cell=cell, loose=cells, bleeding=cells[0])
    seeds = marks & (marks.mean(axis=1) >= _ALONG)[:, None]
    lines = pooled(seeds, cell)
    seeds[0], seeds[:, 0], seeds[:, -1] = marks[0], marks[:, 0], marks[:, -1]
    joined = flooded(cells, pooled(seeds, cell))
    outside = max(1, round(max(strip.past_trim_mm, _OUTERMOST_MM) / strip.inwards_mm / cell[0]))
    off = joined & ~np.asarray(lines.any(axis=1))[:, None]
    bleeding = np.asarray(off[:outside].any(axis=0))
    return _Marked(strip=strip, marks=marks, cell=cell, loose=cells & ~joined, bleeding=bleeding)


def _is_all_over(face: CardFace, card: CardSettings) -> bool:
    """Whether there is something nearly everywhere on the card, as in a photo or a pattern (or a page full of text)."""
    pixels = within_trim(face, card)
    if pixels is None or min(pixels.shape[:2]) < 2 * _BLOCKS:
        return False
    step = max(1, max(pixels.shape[:2]) // _GLANCE_PX)
    marks = marks_of(np.ascontiguousarray(pixels[::step, ::step].transpose(2, 0, 1)).astype(np.int16))
    side = max(1, min(marks.shape) // _BLOCKS)
    whole = marks[: marks.shape[0] // side * side, : marks.shape[1] // side * side]
    return float(pooled(whole, (side, side)).mean()) >= _FILLED


def _free_columns(marked: Sequence[_Marked], *, all_over: bool) -> list[Mask]:
    """For each strip its columns of cells where no picture or pattern runs over the edge."""
    runs = sum(int(np.count_nonzero(np.diff(one.bleeding.astype(np.int8), prepend=0) > 0)) for one in marked)
    if all_over and runs >= _SOME:
        return [np.zeros(len(one.bleeding), bool) for one in marked]
    free = [~near_any(one.bleeding, int(_NEARBY_MM / one.cell[1] / one.strip.along_mm)) for one in marked]
    if len(marked) < 4:
        return free
    # once round the card: top from left to right, right from top to bottom, and back
    turned = [one.bleeding[:: 1 if one.strip.edge in (Edge.TOP, Edge.RIGHT) else -1] for one in marked]
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
        free[number] &= part if marked[number].strip.edge in (Edge.TOP, Edge.RIGHT) else part[::-1]
    return free


def _measure_edge(marked: _Marked, free: Mask, safe_mm: float) -> EdgeMeasures:
    near, things = _standing(marked, free, safe_mm)
    strip = marked.strip
    cell_mm = marked.cell[1] * strip.along_mm
    return EdgeMeasures(
        edge=strip.edge,
        past_trim_mm=strip.past_trim_mm,
        border=_border(strip, marked.marks),
        nearest_mm=near,
        crosses=any(thing.crosses for thing in things),
        stretches_mm=tuple((thing.start * cell_mm, thing.end * cell_mm) for thing in things),
    )


def _border(strip: Strip, marks: Mask) -> Border | None:
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
    outside = strip.pixels[:, : max(at, 1), ends : length - ends].reshape(3, -1)
    colour = np.median(outside, axis=1)
    if np.quantile(np.abs(outside - colour[:, None]).max(axis=0), 0.9) > _EVEN:
        return None
    return Border(
        inside_mm=(at + 1) * strip.inwards_mm - strip.past_trim_mm,
        outer=(int(colour[0]), int(colour[1]), int(colour[2])),
    )


def _standing(marked: _Marked, free: Mask, safe_mm: float) -> "tuple[float | None, list[_Thing]]":
    """How near to the trim, inside of it, the nearest thing stands that does not bleed off; and all such things."""
    loose = marked.loose & free
    if not loose.any():
        return None, []
    marks, strip, cell = marked.marks, marked.strip, marked.cell
    rows = (np.arange(len(marks)) + 1) * strip.inwards_mm - strip.past_trim_mm
    stands = marks & np.repeat(np.repeat(loose, cell[0], 0), cell[1], 1)[: marks.shape[0], : marks.shape[1]]
    zone = stands & ((rows > 0) & (rows < safe_mm))[:, None]
    trim = strip.past_trim_mm / strip.inwards_mm / cell[0]
    things = _things(pooled(zone, cell), loose, trim)
    if not things:
        return None, []
    columns = np.zeros(marks.shape[1], bool)
    for thing in things:
        columns[thing.start * cell[1] : thing.end * cell[1]] = True
    return float(rows[(zone & columns).any(axis=1)].min()), things


@dataclass(frozen=True, kw_only=True)
class _Thing:
    """Something that stands near the trim: its columns of cells, and whether it reaches across."""

    start: int
    end: int
    crosses: bool


def _things(zone: Mask, loose: Mask, trim: float) -> list[_Thing]:
    """What stands in the zone and is larger than stars, snow and dust; `trim` in rows of cells.

    Things side by side with a gap of a cell or two are one: letters, words.
    """
    found = []
    for start, end in runs_of(np.asarray(zone.any(axis=0)), _GAP_CELLS):
        rows = runs_of(np.asarray(loose[:, start:end].any(axis=1)), 1)
        tall = max((high - low for low, high in rows), default=0)
        if max(end - start, tall) >= _SPECK_CELLS:
            crosses = any(low < trim - 0.5 and high > trim + 0.5 for low, high in rows)
            found.append(_Thing(start=start, end=end, crosses=crosses))
    return found
