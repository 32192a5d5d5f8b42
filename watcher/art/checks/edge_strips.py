"""Cut the strips of pixels along the four edges of a card out of its thumbnail, and find changes of colour in them."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from watcher.art.model import CardFace, Thumbnail
from watcher.art.reading import trim_box
from watcher.settings.card import CardSettings
from watcher.terms import Edge

Mask = NDArray[np.bool_]

# Levels of 255. The grain of photos and traces of JPEG stay below, light grey type does not (measured).
CONTRAST = 30
_INWARDS_MM = 1.5  # how far past the safe line a strip reaches: what stands half in it is seen whole


@dataclass(frozen=True, kw_only=True, eq=False)
class Strip:
    """The pixels along one edge.

    Attributes:
        edge: of the card.
        pixels: colours x rows x columns; row 0 is the outermost that is printed.
        inwards_mm, along_mm: size of a pixel.
        past_trim_mm: how far the strip begins outside the trim.
    """

    edge: Edge
    pixels: NDArray[np.int16]
    inwards_mm: float
    along_mm: float
    past_trim_mm: float


def within_trim(face: CardFace, card: CardSettings) -> NDArray[np.uint8] | None:
    """The part of the thumbnail inside the trim; None where there is no thumbnail."""
    if face.art.thumbnail is None:
        return None
    box, trim = face.fit.box, trim_box(card)
    pixels = face.art.thumbnail.picture
    height, width = pixels.shape[:2]
    left, right = (_pixel(side - box.left, box.width, width) for side in (trim.left, trim.right))
    top, bottom = (_pixel(box.top - side, box.height, height) for side in (trim.top, trim.bottom))
    return pixels[top : max(bottom, top + 1), left : max(right, left + 1)]


def _pixel(at: Fraction, length: Fraction, pixels: int) -> int:
    share = float(at) / float(length)
    return min(max(round(share * pixels), 0), pixels - 1 if share < 1 else pixels)


def strips_of(face: CardFace, thumbnail: Thumbnail, card: CardSettings) -> Iterator[Strip]:
    """The strips of the edges at which the art reaches the trim at least (padded art leaves paper at two)."""
    box, trim = face.fit.box, trim_box(card)
    shown = trim.grown(face.fit.bleed).meet(box)
    height, width = thumbnail.picture.shape[:2]
    left, right = (_pixel(side - box.left, box.width, width) for side in (shown.left, shown.right))
    top, bottom = (_pixel(box.top - side, box.height, height) for side in (shown.top, shown.bottom))
    seen = thumbnail.picture[top:bottom, left:right]
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
            yield Strip(edge=edge, pixels=planes, inwards_mm=inwards, along_mm=along, past_trim_mm=float(past))


def marks_of(planes: NDArray[np.int16]) -> Mask:
    """Where a colour changes: between the two neighbours of a pixel, inwards or along."""
    marks = np.zeros(planes.shape[1:], bool)
    for plane in planes:
        inwards, along = np.abs(plane[2:] - plane[:-2]), np.abs(plane[:, 2:] - plane[:, :-2])
        marks[1:-1] |= inwards >= CONTRAST
        marks[:, 1:-1] |= along >= CONTRAST
        marks[0] |= np.abs(plane[1] - plane[0]) >= CONTRAST
    return marks


def runs_of(line: Mask, gap: int) -> list[tuple[int, int]]:
    """Where a line is marked, gaps of so many places passed over: starts and ends."""
    places = np.flatnonzero(line)
    if not len(places):
        return []
    breaks = np.flatnonzero(np.diff(places) > gap + 1)
    starts, ends = places[np.append(0, breaks + 1)], places[np.append(breaks, len(places) - 1)] + 1
    return [(int(start), int(end)) for start, end in zip(starts, ends, strict=True)]


def pooled(mask: Mask, cell: tuple[int, int]) -> Mask:
    """Cells of so many rows and columns in which there is anything."""
    rows, columns = cell
    high, wide = -(-mask.shape[0] // rows), -(-mask.shape[1] // columns)
    padded = np.zeros((high * rows, wide * columns), bool)
    padded[: mask.shape[0], : mask.shape[1]] = mask
    down = np.logical_or.reduce([padded[row::rows] for row in range(rows)])
    return np.asarray(np.logical_or.reduce([down[:, column::columns] for column in range(columns)]))


def flooded(mask: Mask, seeds: Mask) -> Mask:
    """All of the mask that is joined to the seeds, corners too.

    Runs of the rows are numbered; those that touch in neighbouring rows get the lowest number among them, again and
    again until none changes (as in the second pass of the usual labelling; Rosenfeld and Pfaltz 1966, from memory).
    """
    begins = mask & ~np.pad(mask, ((0, 0), (1, 0)))[:, :-1]
    runs = np.cumsum(begins.ravel()).reshape(mask.shape) - 1
    above, below = _touching(mask, runs)
    lowest = np.arange(int(begins.sum()))
    while True:
        joined = np.minimum(lowest[above], lowest[below])
        before = lowest.copy()
        for side in (above, below):
            np.minimum.at(lowest, lowest[side], joined)
            np.minimum.at(lowest, side, joined)
        lowest = lowest[lowest]
        if np.array_equal(lowest, before):
            break
    reached = np.zeros(len(lowest) + 1, bool)
    reached[lowest[runs[mask & seeds]]] = True
    return np.asarray(mask & reached[np.append(lowest, len(lowest))[runs]])


def _touching(mask: Mask, runs: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The numbers of the runs that touch from row to row, straight or by a corner."""
    above, below = [], []
    for shift in (-1, 0, 1):
        here, there = (
            slice(max(0, shift), mask.shape[1] + min(0, shift)),
            slice(max(0, -shift), mask.shape[1] - max(0, shift)),
        )
        both = mask[:-1, here] & mask[1:, there]
        above.append(runs[:-1, here][both])
        below.append(runs[1:, there][both])
    one, other = np.concatenate(above), np.concatenate(below)
    is_new = np.append(True, (one[1:] != one[:-1]) | (other[1:] != other[:-1]))[: len(one)]  # two long runs touch once
    return one[is_new], other[is_new]


def near_any(marked: Mask, reach: int) -> Mask:
    """The places of a line that have a marked one no farther away than `reach`."""
    count = np.cumsum(np.pad(marked, (reach + 1, reach)))
    return np.asarray(count[2 * reach + 1 :] - count[: -2 * reach - 1] > 0)
