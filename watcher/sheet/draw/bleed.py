"""Make bleed by drawing the art again beside itself, so that pixels stay as they came and vectors stay vectors.

Bleed is made at each side where the art ends too early, and in the corners between two such sides. It lies under the
art. Where the art ends, readers smooth its edge: they mix it with what lies below, and that must not be bare paper.
So an edge that is extended reaches under the art. A reflection ends at the art's own edge, and below it lies a frame of
the art made slightly larger (`seam_underlay`).
"""

from dataclasses import dataclass
from enum import IntEnum
from fractions import Fraction

from watcher.art.model import Fit
from watcher.layout.geometry import Box, Size
from watcher.sheet.matrix import Matrix
from watcher.terms import MakeBleed
from watcher.units import mm_to_points

# How far inwards the line of reflection lies at a side: a quarter of a dot at 300 ppi, which nobody sees (our choice).
SEAM_MM = Fraction(2, 100)
# How far colour reaches under the art's edge, and the underlay past it: more than a pixel at 150 ppi, which is 0.17 mm.
# Measured with 0.2 mm: no light line at 150, 300 and 600 ppi in pdfium, ghostscript, mupdf and poppler, nor on backs
# that a correction turns (tests/sheet/test_seam.py).
REACH_MM = Fraction(2, 10)


class End(IntEnum):
    """The end of an axis at which bleed is made."""

    LOW = -1
    WITHIN = 0
    HIGH = 1


@dataclass(frozen=True, kw_only=True)
class MadeBleed:
    """A piece of made bleed: a side (one end WITHIN) or a corner.

    Attributes:
        across, upwards: which side or corner.
        box: what it fills, mm.
        under: how much of that lies under the art, or under the side's bleed in a corner, mm.
    """

    across: End
    upwards: End
    box: Box
    under: Fraction


@dataclass(frozen=True, kw_only=True)
class SeamUnderlay:
    """The frame around the art's edge that is filled below reflected bleed, so that no light line shows there.

    Attributes:
        outer, inner: the ends of the frame, mm; the same at a side that needs none.
        larger: brings the art, drawn at its box, to where it ends at the frame's outer end; points.
    """

    outer: Box
    inner: Box
    larger: Matrix


def made_bleed(fit: Fit, trim: Size) -> tuple[MadeBleed, ...]:
    """The pieces of bleed to make, corners first; none where the art covers the bleed, or where paper is meant.

    Args:
        fit: where the art lies and how bleed is made.
        trim: the card.
    """
    if fit.make_bleed is MakeBleed.NONE:
        return ()
    across = _ends(fit.box.left, fit.box.right, trim.width, fit.bleed)
    upwards = _ends(fit.box.bottom, fit.box.top, trim.height, fit.bleed)
    pairs = sorted(((x, y) for x in across for y in upwards if x or y), key=lambda pair: -abs(pair[0]) - abs(pair[1]))
    return tuple(_made(x, y, across[x], upwards[y], fit.make_bleed) for x, y in pairs)


def _made(
    x: End, y: End, across: tuple[Fraction, Fraction], upwards: tuple[Fraction, Fraction], how: MakeBleed
) -> MadeBleed:
    under = 2 * SEAM_MM if how is MakeBleed.MIRROR and not (x and y) else REACH_MM
    left, right = _reaching(x, across, under)
    bottom, top = _reaching(y, upwards, under)
    return MadeBleed(across=x, upwards=y, box=Box(left, bottom, right, top), under=under)


def _reaching(end: End, gap: tuple[Fraction, Fraction], under: Fraction) -> tuple[Fraction, Fraction]:
    low, high = gap
    return low - under if end is End.HIGH else low, high + under if end is End.LOW else high


def seam_underlay(fit: Fit, trim: Size) -> SeamUnderlay | None:
    """The underlay of reflected bleed; None where nothing is reflected."""
    made = made_bleed(fit, trim) if fit.make_bleed is MakeBleed.MIRROR else ()
    if not made:
        return None
    art, all_round = fit.box, Box.around([fit.box, *(piece.box for piece in made)])
    outer = all_round.meet(art.grown(REACH_MM))
    edges = ("left", "bottom", "right", "top")
    kept = art.grown(-REACH_MM)
    inner = Box(*(getattr(outer if getattr(outer, edge) == getattr(art, edge) else kept, edge) for edge in edges))
    x_scale, y_scale = outer.width / art.width, outer.height / art.height
    larger = _matrix(x_scale, outer.left - x_scale * art.left, y_scale, outer.bottom - y_scale * art.bottom)
    return SeamUnderlay(outer=outer, inner=inner, larger=larger)


def reflection(made: MadeBleed, art: Box) -> Matrix:
    """The matrix from the art, drawn at its box, to its reflection at the edge, or both edges of a corner; points."""
    x_scale, x_shift = _reflected(made.across, art.left, art.right, made.under)
    y_scale, y_shift = _reflected(made.upwards, art.bottom, art.top, made.under)
    return _matrix(x_scale, x_shift, y_scale, y_shift)


def stretch(made: MadeBleed, art: Box, strip: Fraction) -> Matrix:
    """The matrix that stretches the art, drawn at its box, until its outermost `strip` (mm) fills the bleed; points."""
    x_scale, x_shift = _stretched(made.across, (art.left, art.right), (made.box.left, made.box.right), strip)
    y_scale, y_shift = _stretched(made.upwards, (art.bottom, art.top), (made.box.bottom, made.box.top), strip)
    return _matrix(x_scale, x_shift, y_scale, y_shift)


def _ends(low: Fraction, high: Fraction, length: Fraction, bleed: Fraction) -> dict[End, tuple[Fraction, Fraction]]:
    """Where bleed lies along one axis. Where the art ends inside the trim (padded), paper is meant: none there."""
    ends = {End.WITHIN: (low, high)}
    if -bleed < low <= 0:
        ends[End.LOW] = (-bleed, low)
    if length <= high < length + bleed:
        ends[End.HIGH] = (high, length + bleed)
    return ends


def _reflected(end: End, low: Fraction, high: Fraction, under: Fraction) -> tuple[Fraction, Fraction]:
    """Scale and shift of x' = scale x + shift: what was the edge comes to lie `under` the art."""
    if end is End.WITHIN:
        return Fraction(1), Fraction(0)
    return Fraction(-1), 2 * low + under if end is End.LOW else 2 * high - under


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
