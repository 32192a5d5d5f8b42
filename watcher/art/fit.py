"""Fit art onto its card: read as the trim or as trim and bleed, scaled without stretching, centred.

Nothing is guessed: what can be read two ways, or has another shape, gives a finding that holds the order; the fit
that goes with it is the one printed if the person says so.
"""

from collections.abc import Sequence
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
from watcher.art.model import Art, Fit
from watcher.art.reading import (
    ROUNDING_MM,
    SAME_SHAPE,
    OwnSize,
    Reading,
    at_own_size,
    choose,
    is_trim_size,
    lies_on_side,
    readings_of,
    said_trim,
    shape_off,
    trim_box,
)
from watcher.layout.geometry import Box, Size
from watcher.settings.card import CardSettings
from watcher.terms import Finding, MakeBleed, ShapeMismatch
from watcher.units import pixels_per_inch


def fit_art(art: Art, card: CardSettings) -> tuple[Fit, tuple[Finding, ...]]:
    """Fit the art onto the card; return the fit and the findings.

    A PDF that says where its trim is, is believed: trim on trim, unscaled. Else the shape is compared with the trim and
    with trim and bleed; within 0.5 % it is scaled to cover the nearer one, never stretched. Where both fit, `art_bleed`
    decides, or the size that the art itself says; a size that is the trim and some other bleed all round is believed as
    well, and what is too much cut off, never shrunk. Beyond all that, `shape_mismatch` decides.
    """
    said = said_trim(art)
    if said is not None:
        return _fit_by_trim(art, card, said)
    readings = readings_of(art.extent, card)
    nearest = min(readings, key=lambda reading: reading.off)
    chosen = choose(art, card, readings)
    if chosen is not None:
        return _fit_reading(art, card, chosen, [])
    if own := at_own_size(art, card):
        return _fit_own_size(art, card, own)
    if nearest.fits:
        box = _cover(art.extent, nearest.target)
        return _fit_reading(art, card, nearest, [bleed_unclear(art, card, nearest.bleed, box)])
    return _fit_other_shape(art, card, nearest)


def unclear_bleed(card: CardSettings) -> str | None:
    """A warning, before any art comes, of a card whose art will not tell whether it brings bleed; None for others."""
    wide = card.trim.grown(card.bleed)
    if not card.bleed or card.art_bleed is not None or shape_off(card.trim, wide) > SAME_SHAPE:
        return None
    return unclear_before_art(card)


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
    if is_trim_size(said.size, card):
        box = _trim_onto(art, said, trim, Fraction(1))
        if not box.contains(trim):  # half a millimetre too small, and nothing beyond: no bare edge for that
            box = _trim_onto(art, said, trim, _scale_to_cover(said.size, trim))
        return _finish(art, card, box, [placed_by_trim(art, said)])
    scale = _scale_to_cover(said.size, trim)
    shown = _about(trim, said.size, scale)
    if lies_on_side(art, card):
        words = lies_on_its_side(art, card, said.size, shown, trim)
    else:
        words = trim_mismatch(art, card, said.size, scale, shown)
    return _finish(art, card, _trim_onto(art, said, trim, scale), [words])


def _scale_to_cover(size: Size, target: Box) -> Fraction:
    return max(target.width / size.width, target.height / size.height)


def _trim_onto(art: Art, said: Box, trim: Box, scale: Fraction) -> Box:
    """Where all of the art lies when its own trim lies about the middle of the card's."""
    size = Size(art.extent.width * scale, art.extent.height * scale)
    return Box.at(trim.centre.x - said.centre.x * scale, trim.centre.y - said.centre.y * scale, size)


def _fit_other_shape(art: Art, card: CardSettings, nearest: Reading) -> tuple[Fit, tuple[Finding, ...]]:
    """Fit art of another shape: held, cropped or padded, as the card says. Which way to turn is never guessed."""
    box = _cover(art.extent, nearest.target)
    if lies_on_side(art, card):
        return _finish(art, card, box, [lies_on_its_side(art, card, art.extent, box, nearest.target)])
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
    """Return the smallest box of the art's shape that covers the target, about the same centre."""
    return _about(target, extent, max(target.width / extent.width, target.height / extent.height))


def _contain(extent: Size, target: Box) -> Box:
    """Return the largest box of the art's shape that lies in the target, about the same centre."""
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
