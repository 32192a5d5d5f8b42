"""How art lies on its card: read as the trim or as trim and bleed, scaled without stretching, centred.

Nothing is guessed: what can be read two ways, or has another shape, gives a finding that sets the order aside; the fit
that goes with it is the one printed if the person says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from watcher.art.fit_words import (
    bleed_made,
    bleed_missing,
    bleed_unclear,
    cropped,
    lies_on_its_side,
    mismatch,
    padded,
    trimmed_to_shape,
)
from watcher.art.model import Art, Finding, Fit
from watcher.layout.geometry import Box, Size
from watcher.settings.model import CardSettings
from watcher.terms import MakeBleed, ShapeMismatch, Turn
from watcher.units import pixels_per_inch

# Exports round to whole pixels, and editors keep sizes in whole points or tenths of a millimetre: within this much of
# the ratio it is the same shape (design.md section 8, issue 2 point 10; our own choice).
SAME_SHAPE = Fraction(5, 1000)
# What an export's rounding accounts for: less than one pixel, or this much of a PDF page.
ROUNDING_MM = Fraction(5, 100)


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One way to understand the art: it is the card as far as `bleed` past the trim.

    Attributes:
        bleed: what the art would bring of its own, mm.
        target: where it would lie; mm, origin at the trim's lower left.
        off: how far its shape is from the target's, 0 for the same ratio.
    """

    bleed: Fraction
    target: Box
    off: Fraction

    @property
    def fits(self) -> bool:
        """Whether the shapes are the same but for rounding."""
        return self.off <= SAME_SHAPE


def fit_art(art: Art, card: CardSettings) -> tuple[Fit, tuple[Finding, ...]]:
    """Where the art lies on the card, and what is to be said of it.

    Shape is compared with the trim and with trim and bleed (with `art_bleed` set: with trim and that alone); the nearer
    one is meant. Within 0.5 % it is scaled to cover that, never stretched; beyond, `shape_mismatch` decides.
    """
    readings = _readings(art.extent, card)
    nearest = min(readings, key=lambda reading: reading.off)
    if not nearest.fits:
        return _fit_other_shape(art, card, readings, nearest)
    findings: list[Finding] = []
    if all(reading.fits for reading in readings) and len(readings) > 1:
        by_size = _told_by_size(art, readings)
        if by_size is None:
            findings.append(bleed_unclear(art, card, nearest.bleed))
        nearest = by_size or nearest
    box = _cover(art.extent, nearest.target)
    if _loss(box, nearest.target) > _rounding(art, box):
        findings.append(trimmed_to_shape(art, nearest.off, box, nearest.target))
    return _finish(art, card, box, findings)


def trim_box(card: CardSettings) -> Box:
    """The card's trim in its own axes."""
    return Box.at(Fraction(0), Fraction(0), card.trim)


def _readings(extent: Size, card: CardSettings) -> tuple[Reading, ...]:
    if card.art_bleed is not None:
        bleeds: tuple[Fraction, ...] = (card.art_bleed,)
    else:
        bleeds = (Fraction(0), card.bleed) if card.bleed else (Fraction(0),)
    targets = [(bleed, trim_box(card).grown(bleed)) for bleed in bleeds]
    return tuple(Reading(bleed=bleed, target=box, off=shape_off(extent, box.size)) for bleed, box in targets)


def shape_off(one: Size, other: Size) -> Fraction:
    """How far two shapes differ: the larger ratio over the smaller, less 1."""
    ratio = one.width * other.height / (one.height * other.width)
    return max(ratio, 1 / ratio) - 1


def _told_by_size(art: Art, readings: Sequence[Reading]) -> Reading | None:
    """The reading whose size a PDF page has in millimetres; None when it has neither, and for pixels always."""
    if art.width_px is not None:
        return None

    def size_off(reading: Reading) -> Fraction:
        ratio = art.extent.width / reading.target.width
        return max(ratio, 1 / ratio) - 1

    nearest = min(readings, key=size_off)
    return nearest if size_off(nearest) <= SAME_SHAPE else None


def _fit_other_shape(
    art: Art, card: CardSettings, readings: Sequence[Reading], nearest: Reading
) -> tuple[Fit, tuple[Finding, ...]]:
    """Another shape altogether: set aside, cropped or padded, as the card says."""
    if card.shape_mismatch is ShapeMismatch.PAD:
        box = _contain(art.extent, trim_box(card))
        return _as_fit(art, card, box), (padded(art, box, trim_box(card)),)
    box = _cover(art.extent, nearest.target)
    if card.shape_mismatch is ShapeMismatch.CROP:
        said = cropped(art, box, nearest.target, nearest.bleed)
    elif any(shape_off(art.extent.turned(Turn.LEFT), reading.target.size) <= SAME_SHAPE for reading in readings):
        said = lies_on_its_side(art, card)
    else:
        said = mismatch(art, card, box, nearest.target)
    return _finish(art, card, box, [said])


def _finish(art: Art, card: CardSettings, box: Box, findings: Sequence[Finding]) -> tuple[Fit, tuple[Finding, ...]]:
    """The fit of art that covers the trim, with a word on the bleed that it does not bring."""
    missing = _missing_bleed(box, card)
    if not missing:
        return _as_fit(art, card, box), tuple(findings)
    word = bleed_missing if card.make_bleed is MakeBleed.NONE else bleed_made
    return _as_fit(art, card, box), (*findings, word(art, card, missing))


def _missing_bleed(box: Box, card: CardSettings) -> Fraction:
    """How much of the bleed is missing on the side where most is; 0 for none."""
    trim = trim_box(card)
    brought = min(trim.left - box.left, trim.bottom - box.bottom, box.right - trim.right, box.top - trim.top)
    return max(card.bleed - brought, Fraction(0))


def _as_fit(art: Art, card: CardSettings, box: Box) -> Fit:
    return Fit(box=box, bleed=card.bleed, make_bleed=card.make_bleed, ppi=_resolution(art, box))


def _resolution(art: Art, box: Box) -> Fraction | None:
    if art.width_px is None or art.height_px is None:
        return None
    return min(pixels_per_inch(art.width_px, box.width), pixels_per_inch(art.height_px, box.height))


def _cover(extent: Size, target: Box) -> Box:
    """The smallest box of the art's shape that covers the target, about the same centre."""
    return _about(target, extent, max(target.width / extent.width, target.height / extent.height))


def _contain(extent: Size, target: Box) -> Box:
    """The largest box of the art's shape that lies in the target, about the same centre."""
    return _about(target, extent, min(target.width / extent.width, target.height / extent.height))


def _about(target: Box, extent: Size, scale: Fraction) -> Box:
    size = Size(extent.width * scale, extent.height * scale)
    return Box.at(target.centre.x - size.width / 2, target.centre.y - size.height / 2, size)


def _loss(box: Box, target: Box) -> Fraction:
    """What of the box lies outside the target, both ends together, mm."""
    return max(box.width - target.width, box.height - target.height)


def _rounding(art: Art, box: Box) -> Fraction:
    """One pixel of a picture, in mm on the card, or what a PDF's numbers are rounded by."""
    return box.width / art.width_px if art.width_px else ROUNDING_MM
