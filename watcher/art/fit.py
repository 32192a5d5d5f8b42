"""How art lies on its card: read as the trim or as trim and bleed, scaled without stretching, centred.

Nothing is guessed: what can be read two ways, or has another shape, gives a finding that sets the order aside; the fit
that goes with it is the one printed if the person says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from watcher.art.fit_words import (
    bleed_left_out,
    bleed_made,
    bleed_missing,
    bleed_unclear,
    cropped,
    lies_on_its_side,
    mismatch,
    padded,
    placed_by_trim,
    trim_mismatch,
    trimmed_to_shape,
    unclear_before_art,
)
from watcher.art.model import Art, Finding, Fit, VectorPage
from watcher.art.pdf_boxes import upright_trim
from watcher.art.turned import turned_art
from watcher.layout.geometry import Box, Size
from watcher.settings.model import CardSettings
from watcher.terms import MakeBleed, ShapeMismatch, Turn
from watcher.units import inches_to_mm, pixels_per_inch

# Exports round to whole pixels, and editors keep sizes in whole points or tenths of a millimetre: within this much of
# the ratio it is the same shape (our own choice).
SAME_SHAPE = Fraction(5, 1000)
# What an export's rounding accounts for: less than one pixel, or this much of a PDF page.
ROUNDING_MM = Fraction(5, 100)


# More than that is no bleed any more but another size (our own choice; printers ask for 6 mm at most).
MOST_BLEED_MM = inches_to_mm(Fraction(1))
# So even all round it cannot be by chance, whatever the shape (our own choice).
EXACT_MM = Fraction(1, 10)
SAME_TRIM_MM = Fraction(5, 10)  # or 0.5 %; what editors round points to (our own choice)


@dataclass(frozen=True, kw_only=True)
class OwnSize:
    """Art that is, by the size it says itself, the trim with this bleed all round, mm; `is_exact` to `EXACT_MM`."""

    bleed: Fraction
    is_exact: bool


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

    A PDF that says where its trim is, is believed: trim on trim, unscaled. Else the shape is compared with the trim and
    with trim and bleed; within 0.5 % it is scaled to cover the nearer one, never stretched. Where both fit, `art_bleed`
    decides, or the size that the art itself says; a size that is the trim and some other bleed all round is believed as
    well, and what is too much cut off, never shrunk. Beyond all that, `shape_mismatch` decides.
    """
    said = said_trim(art)
    if said is not None:
        return _fit_by_trim(art, card, said)
    readings = _readings(art.extent, card)
    nearest = min(readings, key=lambda reading: reading.off)
    chosen = _choose(art, card, readings)
    if chosen is not None:
        return _fit_reading(art, card, chosen, [])
    if own := _at_own_size(art, card):
        return _fit_own_size(art, card, own)
    if nearest.fits:
        return _fit_reading(art, card, nearest, [bleed_unclear(art, card, nearest.bleed)])
    return _fit_other_shape(art, card, readings, nearest)


def trim_box(card: CardSettings) -> Box:
    """The card's trim in its own axes."""
    return Box.at(Fraction(0), Fraction(0), card.trim)


def said_trim(art: Art) -> Box | None:
    """Where the art's file says that its trim is, mm from the art's lower left; None where it does not."""
    return upright_trim(art.content) if isinstance(art.content, VectorPage) else None


def fits_card(art: Art, card: CardSettings) -> bool:
    """Whether the art has the card's shape or size as it stands."""
    said = said_trim(art)
    if said is not None:
        return _is_trim_size(said.size, card)
    return any(reading.fits for reading in _readings(art.extent, card)) or _at_own_size(art, card) is not None


def lies_on_side(art: Art, card: CardSettings) -> bool:
    """Whether the art would fit the card after a quarter turn, and does not fit as it stands."""
    return not fits_card(art, card) and fits_card(turned_art(art, Turn.LEFT), card)


def unclear_bleed(card: CardSettings) -> str | None:
    """A warning, before any art comes, of a card whose art will not tell whether it brings bleed; None for others."""
    wide = card.trim.grown(card.bleed)
    if not card.bleed or card.art_bleed is not None or shape_off(card.trim, wide) > SAME_SHAPE:
        return None
    return unclear_before_art(card)


def _readings(extent: Size, card: CardSettings) -> tuple[Reading, ...]:
    """The trim, the trim and bleed, and the trim and what the settings say that art brings."""
    bleeds = {Fraction(0), card.bleed, card.bleed if card.art_bleed is None else card.art_bleed}
    targets = [(bleed, trim_box(card).grown(bleed)) for bleed in sorted(bleeds)]
    return tuple(Reading(bleed=bleed, target=box, off=shape_off(extent, box.size)) for bleed, box in targets)


def shape_off(one: Size, other: Size) -> Fraction:
    """How far two shapes differ: the larger ratio over the smaller, less 1."""
    ratio = one.width * other.height / (one.height * other.width)
    return max(ratio, 1 / ratio) - 1


def _choose(art: Art, card: CardSettings, readings: Sequence[Reading]) -> Reading | None:
    """The reading that is meant; None where none fits or it cannot be told."""
    fitting = [reading for reading in readings if reading.fits]
    for reading in fitting:
        if reading.bleed == card.art_bleed:
            return reading
    by_size = _told_by_size(art, fitting)
    if by_size is not None:
        return by_size
    own = _at_own_size(art, card)
    if own is not None and own.is_exact and own.bleed > card.bleed:
        return None  # more bleed than is wanted, to a tenth of a millimetre: never shrunk
    return fitting[0] if len(fitting) == 1 else None


def _told_by_size(art: Art, readings: Sequence[Reading]) -> Reading | None:
    """The reading whose size the art itself says that it has; None when it has neither or says nothing."""
    if art.real_size is None or not readings:
        return None
    width = art.real_size.width

    def size_off(reading: Reading) -> Fraction:
        ratio = width / reading.target.width
        return max(ratio, 1 / ratio) - 1

    nearest = min(readings, key=size_off)
    return nearest if size_off(nearest) <= SAME_SHAPE else None


def _at_own_size(art: Art, card: CardSettings) -> OwnSize | None:
    """The art at the size it says it has, when that is the trim and the same bleed all round, within 0.5 %."""
    if art.real_size is None:
        return None
    size, trim = art.real_size, card.trim
    across, upwards = (size.width - trim.width) / 2, (size.height - trim.height) / 2
    bleed = (across + upwards) / 2
    uneven = abs(across - upwards)  # each side is off by half of it, at both ends
    if not 0 < bleed <= MOST_BLEED_MM or uneven > SAME_SHAPE * min(size.width, size.height):
        return None
    return OwnSize(bleed=bleed, is_exact=uneven <= EXACT_MM)


def _fit_reading(
    art: Art, card: CardSettings, reading: Reading, findings: list[Finding]
) -> tuple[Fit, tuple[Finding, ...]]:
    box = _cover(art.extent, reading.target)
    if _loss(box, reading.target) > _rounding(art, box):
        findings.append(trimmed_to_shape(art, reading.off, box, reading.target))
    return _finish(art, card, box, findings)


def _fit_own_size(art: Art, card: CardSettings, own: OwnSize) -> tuple[Fit, tuple[Finding, ...]]:
    """At its own scale about the middle of the card; what it brings too much is cut off."""
    width = art.real_size.width if art.real_size else art.extent.width
    box = _about(trim_box(card), art.extent, width / art.extent.width)
    findings = [bleed_left_out(art, card, own.bleed)] if own.bleed - card.bleed > ROUNDING_MM else []
    return _finish(art, card, box, findings)


def _fit_by_trim(art: Art, card: CardSettings, said: Box) -> tuple[Fit, tuple[Finding, ...]]:
    """The trim that the file says on the trim of the card: unscaled when its size is right."""
    trim = trim_box(card)
    if _is_trim_size(said.size, card):
        box = _trim_onto(art, said, trim, Fraction(1))
        if not box.contains(trim):  # half a millimetre too small, and nothing beyond: no bare edge for that
            box = _trim_onto(art, said, trim, _scale_to_cover(said.size, trim))
        return _finish(art, card, box, [placed_by_trim(art, said)])
    scale = _scale_to_cover(said.size, trim)
    if lies_on_side(art, card):
        words = lies_on_its_side(art, card, said.size)
    else:
        words = trim_mismatch(art, card, said.size, scale, _about(trim, said.size, scale))
    return _finish(art, card, _trim_onto(art, said, trim, scale), [words])


def _is_trim_size(size: Size, card: CardSettings) -> bool:
    """Whether a trim that a file says is the card's, but for rounding: 0.5 % or half a millimetre."""
    pairs = ((size.width, card.trim.width), (size.height, card.trim.height))
    return all(abs(said - wanted) <= max(SAME_TRIM_MM, SAME_SHAPE * wanted) for said, wanted in pairs)


def _scale_to_cover(size: Size, target: Box) -> Fraction:
    return max(target.width / size.width, target.height / size.height)


def _trim_onto(art: Art, said: Box, trim: Box, scale: Fraction) -> Box:
    """Where all of the art lies when its own trim lies about the middle of the card's."""
    size = Size(art.extent.width * scale, art.extent.height * scale)
    return Box.at(trim.centre.x - said.centre.x * scale, trim.centre.y - said.centre.y * scale, size)


def _fit_other_shape(
    art: Art, card: CardSettings, readings: Sequence[Reading], nearest: Reading
) -> tuple[Fit, tuple[Finding, ...]]:
    """Another shape altogether: set aside, cropped or padded, as the card says. Which way to turn is never guessed."""
    box = _cover(art.extent, nearest.target)
    if lies_on_side(art, card):
        return _finish(art, card, box, [lies_on_its_side(art, card, art.extent)])
    if card.shape_mismatch is ShapeMismatch.PAD:
        box = _contain(art.extent, trim_box(card))
        return _as_fit(art, card, box), (padded(art, box, trim_box(card)),)
    if card.shape_mismatch is ShapeMismatch.CROP:
        said = cropped(art, box, nearest.target, nearest.bleed)
    else:
        said = mismatch(art, card, box, nearest.target)
    return _finish(art, card, box, [said])


def _finish(art: Art, card: CardSettings, box: Box, findings: Sequence[Finding]) -> tuple[Fit, tuple[Finding, ...]]:
    """The fit of art that covers the trim, with a word on the bleed that it does not bring."""
    missing = _missing_bleed(box, card)
    if missing <= ROUNDING_MM:
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
    """The extent at a scale about the target's centre."""
    size = Size(extent.width * scale, extent.height * scale)
    return Box.at(target.centre.x - size.width / 2, target.centre.y - size.height / 2, size)


def _loss(box: Box, target: Box) -> Fraction:
    """What of the box lies outside the target, both ends together, mm."""
    return max(box.width - target.width, box.height - target.height)


def _rounding(art: Art, box: Box) -> Fraction:
    """One pixel of a picture, in mm on the card, or what a PDF's numbers are rounded by."""
    return box.width / art.width_px if art.width_px else ROUNDING_MM
