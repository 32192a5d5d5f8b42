"""How much bare paper the art leaves along the edges of the card: measured on the small picture of it."""

from collections.abc import Sequence
from fractions import Fraction

import numpy as np

from watcher.art.band import within_trim
from watcher.art.model import CardFace
from watcher.layout.geometry import Margins
from watcher.settings.model import CardSettings

# Of 255. A printer leaves the lightest tones to bare paper, and JPEG pictures are rarely whiter (our own choice).
BARE = 248


def bare_edges(face: CardFace, card: CardSettings) -> Margins:
    """How far inside each edge of the trim the first ink stands, mm; a blank side is bare all over.

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


def _bare(line: Sequence[bool]) -> int:
    """How many places there are before the first inked one; all of them when none is."""
    return line.index(True) if True in line else len(line)
