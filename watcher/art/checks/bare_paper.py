"""Measure white paper, or one flat colour, along the edges of a card, on the thumbnail of its art."""

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from watcher.art.checks.edge_strips import within_trim
from watcher.art.model import CardFace
from watcher.art.reading import trim_box
from watcher.layout.geometry import Margins
from watcher.settings.card import CardSettings

# Of 255. A printer leaves the lightest tones to bare paper, and JPEG pictures are rarely whiter (our own choice).
BARE = 248
ONE_COLOUR = 10  # levels of 255; as far as a JPEG of one flat colour strays


def bare_edges(face: CardFace, card: CardSettings) -> Margins:
    """Measure how far inside each edge of the trim the first ink stands, mm; a blank side is bare all over.

    Art that cannot be looked at counts as inked to its edges. A pixel with any ink in it counts as all ink.
    """
    pixels = within_trim(face, card)
    if pixels is None:
        return Margins.all_round(Fraction(0))
    inked = pixels.min(axis=2) < BARE
    columns, rows = np.any(inked, axis=0).tolist(), np.any(inked, axis=1).tolist()
    wide, high = card.trim.width / len(columns), card.trim.height / len(rows)
    return Margins(
        top=_bare(rows) * high,
        right=_bare(columns[::-1]) * wide,
        bottom=_bare(rows[::-1]) * high,
        left=_bare(columns) * wide,
    )


def edge_colour(face: CardFace, card: CardSettings) -> tuple[int, int, int] | None:
    """Find the one colour that the art has from its own edge to as far inside the trim as the bleed is wide, RGB.

    None where it has more than one there on any side, ends inside the trim, or cannot be looked at; and for a card
    without bleed, which needs none.
    """
    thumbnail, box, trim = face.art.thumbnail, face.fit.box, trim_box(card)
    if thumbnail is None or not card.bleed or not box.contains(trim):
        return None
    height, width = thumbnail.picture.shape[:2]
    seen, inner = trim.grown(card.bleed).meet(box), trim.grown(-card.bleed)
    if inner.width <= 0 or inner.height <= 0:
        return None
    columns = [_place(at - box.left, box.width, width) for at in (seen.left, inner.left, inner.right, seen.right)]
    rows = [_place(box.top - at, box.height, height) for at in (seen.top, inner.top, inner.bottom, seen.bottom)]
    picture = thumbnail.picture[rows[0] : rows[3], columns[0] : columns[3]]
    near, far = columns[1] - columns[0] + 1, columns[2] - columns[0] - 1
    high, low = rows[1] - rows[0] + 1, rows[2] - rows[0] - 1
    return _one_colour((picture[:high], picture[low:], picture[:, :near], picture[:, far:]))


def _one_colour(bands: Sequence[NDArray[np.uint8]]) -> tuple[int, int, int] | None:
    """Give the middle of the colours of some pictures if all are one colour, else None: most art ends at the first."""
    least, most = np.full(3, 255), np.zeros(3, int)
    for band in bands:
        # down the columns first: numpy goes through whole rows then, not through three bytes at a time
        least, most = np.minimum(least, band.min(axis=0).min(axis=0)), np.maximum(most, band.max(axis=0).max(axis=0))
        if int((most - least).max()) > ONE_COLOUR:
            return None
    red, green, blue = ((least + most) // 2).tolist()
    return red, green, blue


def _place(at: Fraction, length: Fraction, pixels: int) -> int:
    """The pixel at a distance along a side of the art."""
    return min(max(round(float(at / length) * pixels), 0), pixels)


def _bare(line: Sequence[bool]) -> int:
    """How many places there are before the first inked one; all of them when none is."""
    return line.index(True) if True in line else len(line)
