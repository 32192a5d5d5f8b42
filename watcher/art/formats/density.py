"""Read what a picture file says beside its pixels: which way up it is, and how large it is in print.

Sources: EXIF 2.3 tags 0x0112 (orientation), 0x011A and 0x011B (resolution), 0x0128 (its unit); PNG (ISO/IEC 15948)
11.3.5.3 (pHYs).
"""

from fractions import Fraction

from PIL import Image

from watcher.layout.geometry import Size
from watcher.terms import Turn
from watcher.units import MM_PER_INCH, inches_to_mm

# Outside of these, or with axes that differ, a density is a default or a slip (our own choice). A shade below 72,
# since 72 ppi is no whole number of pixels a metre.
LEAST_PPI, MOST_PPI = Fraction(715, 10), Fraction(2400)
_SAME_AXES = Fraction(1, 100)
_ORIENTATION, _ACROSS, _UPWARDS, _UNIT = 0x0112, 0x011A, 0x011B, 0x0128
_INCH, _CENTIMETRE = 2, 3
# value -> (mirror left to right first, then turn counter-clockwise) that brings the picture upright
_UPRIGHT = {
    1: (False, Turn.NONE),
    2: (True, Turn.NONE),
    3: (False, Turn.HALF),
    4: (True, Turn.HALF),
    5: (True, Turn.LEFT),
    6: (False, Turn.RIGHT),
    7: (True, Turn.RIGHT),
    8: (False, Turn.LEFT),
}
Density = tuple[Fraction | float, Fraction | float]


def upright_of(exif: bytes) -> tuple[bool, Turn]:
    """Whether to mirror and how to turn the stored pixels; neither where the EXIF block says nothing sensible."""
    return upright_as(_tags(exif).get(_ORIENTATION, 1))


def upright_as(orientation: int) -> tuple[bool, Turn]:
    """Whether to mirror and how to turn the stored pixels of a picture of that orientation (tag 0x0112, 1 to 8)."""
    return _UPRIGHT.get(orientation, _UPRIGHT[1])


def size_said(extent: Size, density: Density | None, exif: bytes = b"") -> Size | None:
    """The size in mm that a picture says it has, where that can be believed; else None.

    Args:
        extent: px, upright.
        density: pixels per inch across and upwards, from the format's own field; None: the EXIF block is asked.
        exif: that block.
    """
    across, upwards = _exact(density) or _exact(_density_of(exif)) or (Fraction(0), Fraction(0))
    if not (LEAST_PPI <= across <= MOST_PPI and LEAST_PPI <= upwards <= MOST_PPI):
        return None
    if abs(across - upwards) > _SAME_AXES * min(across, upwards):
        return None
    return Size(inches_to_mm(extent.width / across), inches_to_mm(extent.height / upwards))


def _density_of(exif: bytes) -> Density | None:
    tags = _tags(exif)
    across, upwards, unit = tags.get(_ACROSS), tags.get(_UPWARDS), tags.get(_UNIT, _INCH)
    if across is None or upwards is None or unit not in (_INCH, _CENTIMETRE):
        return None
    factor = MM_PER_INCH / 10 if unit == _CENTIMETRE else Fraction(1)
    exact = _exact((across, upwards))
    return (exact[0] * factor, exact[1] * factor) if exact else None


def _exact(density: Density | None) -> tuple[Fraction, Fraction] | None:
    """The two numbers exactly; None for what is no number."""
    try:
        return (Fraction(density[0]), Fraction(density[1])) if density else None
    except (ValueError, OverflowError, ZeroDivisionError, TypeError, IndexError):
        return None


def _tags(exif: bytes) -> Image.Exif:
    tags = Image.Exif()
    if exif:
        try:
            tags.load(exif)
            tags.get(_ORIENTATION)
        except Exception:  # a broken EXIF block raises anything; the picture itself is whole
            return Image.Exif()
    return tags
