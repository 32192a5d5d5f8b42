"""Where bleed is made, and how the art drawn once more fills it: pixels stay as they came and vector stays vector.

Bleed is made at each side where the art ends too early, and in the corners between two such sides. It lies under the
art and reaches a hair under its edge, so that no white line shows between.
"""

from dataclasses import dataclass
from enum import IntEnum
from fractions import Fraction

from watcher.art.model import Fit
from watcher.layout.geometry import Box, Size
from watcher.sheet.matrix import Matrix
from watcher.terms import MakeBleed
from watcher.units import mm_to_points

# How far inwards the line of reflection lies, and so half of the overlap. A quarter of a dot at 300 ppi: the eye sees
# no shift, and readers that smooth edges leave no gap (seen with poppler at 150 ppi and more; our own choice).
SEAM_MM = Fraction(2, 100)


class End(IntEnum):
    """The part of an axis where bleed lies."""

    LOW = -1
    WITHIN = 0
    HIGH = 1


@dataclass(frozen=True, kw_only=True)
class MadeBleed:
    """A side (one end WITHIN) or a corner of made bleed: which, and the box it fills up to a hair under the art; mm."""

    across: End
    upwards: End
    box: Box


def made_bleed(fit: Fit, trim: Size) -> tuple[MadeBleed, ...]:
    """What must be made, corners first. Nothing where the art covers the bleed, or where paper is meant.

    Args:
        fit: where the art lies and how bleed is made.
        trim: the card.
    """
    if fit.make_bleed is MakeBleed.NONE:
        return ()
    across = _ends(fit.box.left, fit.box.right, trim.width, fit.bleed)
    upwards = _ends(fit.box.bottom, fit.box.top, trim.height, fit.bleed)
    pairs = sorted(((x, y) for x in across for y in upwards if x or y), key=lambda pair: -abs(pair[0]) - abs(pair[1]))
    return tuple(
        MadeBleed(across=x, upwards=y, box=Box(across[x][0], upwards[y][0], across[x][1], upwards[y][1]))
        for x, y in pairs
    )


def reflection(made: MadeBleed, art: Box) -> Matrix:
    """Brings the art, drawn at its box, to its reflection at the edge, or at both edges for a corner; points."""
    x_scale, x_shift = _reflected(made.across, art.left, art.right)
    y_scale, y_shift = _reflected(made.upwards, art.bottom, art.top)
    return _matrix(x_scale, x_shift, y_scale, y_shift)


def stretch(made: MadeBleed, art: Box, strip: Fraction) -> Matrix:
    """Brings the art, drawn at its box, to where its outermost `strip` (mm) fills the made bleed; points."""
    x_scale, x_shift = _stretched(made.across, (art.left, art.right), (made.box.left, made.box.right), strip)
    y_scale, y_shift = _stretched(made.upwards, (art.bottom, art.top), (made.box.bottom, made.box.top), strip)
    return _matrix(x_scale, x_shift, y_scale, y_shift)


def _ends(low: Fraction, high: Fraction, length: Fraction, bleed: Fraction) -> dict[End, tuple[Fraction, Fraction]]:
    """Where bleed lies along one axis. Where the art ends inside the trim (padded), paper is meant: none there."""
    ends = {End.WITHIN: (low, high)}
    if -bleed < low <= 0:
        ends[End.LOW] = (-bleed, low + 2 * SEAM_MM)
    if length <= high < length + bleed:
        ends[End.HIGH] = (high - 2 * SEAM_MM, length + bleed)
    return ends


def _reflected(end: End, low: Fraction, high: Fraction) -> tuple[Fraction, Fraction]:
    """Scale and shift of x' = scale x + shift."""
    if end is End.WITHIN:
        return Fraction(1), Fraction(0)
    return Fraction(-1), 2 * (low + SEAM_MM if end is End.LOW else high - SEAM_MM)


def _stretched(
    end: End, art: tuple[Fraction, Fraction], made: tuple[Fraction, Fraction], strip: Fraction
) -> tuple[Fraction, Fraction]:
    if end is End.WITHIN:
        return Fraction(1), Fraction(0)
    scale = (made[1] - made[0]) / strip
    first = art[0] if end is End.LOW else art[1] - strip
    return scale, made[0] - scale * first


def _matrix(x_scale: Fraction, x_shift: Fraction, y_scale: Fraction, y_shift: Fraction) -> Matrix:
    zero = Fraction(0)
    return Matrix(x_scale, zero, zero, y_scale, mm_to_points(x_shift), mm_to_points(y_shift))
