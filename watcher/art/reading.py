"""How art may be understood: as the card's trim, as trim and bleed, or as whatever size it says itself."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from watcher.art.model import Art, VectorPage
from watcher.art.pdf.boxes import upright_trim
from watcher.art.turned import turned_art
from watcher.layout.geometry import Box, Size
from watcher.settings.card import CardSettings
from watcher.terms import Side, Turn
from watcher.units import inches_to_mm

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
        return is_trim_size(said.size, card)
    return any(reading.fits for reading in readings_of(art.extent, card)) or at_own_size(art, card) is not None


def lies_on_side(art: Art, card: CardSettings) -> bool:
    """Whether the art would fit the card after a quarter turn, and does not fit as it stands."""
    return not fits_card(art, card) and fits_card(turned_art(replace(art, thumbnail=None), Turn.LEFT), card)


def card_as_read(arts: Sequence[Art], card: CardSettings) -> CardSettings:
    """The card as its art is read: with width and height exchanged where all of its art lies on its side.

    A back that stands upright beside a front on its side counts as lying where `back_quarter` says how to turn it. One
    side on its side and one upright are never put right by themselves: which way to turn is not known.

    Args:
        arts: the sides of one design.
        card: as the settings have it.
    """

    def goes_along(art: Art) -> bool:
        return lies_on_side(art, card) or (art.side is Side.BACK and card.back_quarter is not None and bool(fronts))

    fronts = [art for art in arts if art.side is Side.FRONT]
    return card.on_its_side if card.fold is None and arts and all(map(goes_along, arts)) else card


def readings_of(extent: Size, card: CardSettings) -> tuple[Reading, ...]:
    """The trim, the trim and bleed, and the trim and what the settings say that art brings."""
    return _readings(extent, trim_box(card), card.bleed, card.bleed if card.art_bleed is None else card.art_bleed)


@lru_cache(maxsize=64)  # exports of a shop are of a few sizes
def _readings(extent: Size, trim: Box, *bleeds: Fraction) -> tuple[Reading, ...]:
    targets = [(bleed, trim.grown(bleed)) for bleed in sorted({Fraction(0), *bleeds})]
    return tuple(Reading(bleed=bleed, target=box, off=shape_off(extent, box.size)) for bleed, box in targets)


def shape_off(one: Size, other: Size) -> Fraction:
    """How far two shapes differ: the larger ratio over the smaller, less 1."""
    ratio = one.width * other.height / (one.height * other.width)
    return max(ratio, 1 / ratio) - 1


def choose(art: Art, card: CardSettings, readings: Sequence[Reading]) -> Reading | None:
    """The reading that is meant; None where none fits or it cannot be told."""
    fitting = [reading for reading in readings if reading.fits]
    for reading in fitting:
        if reading.bleed == card.art_bleed:
            return reading
    by_size = _told_by_size(art, fitting)
    if by_size is not None:
        return by_size
    own = at_own_size(art, card)
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


def at_own_size(art: Art, card: CardSettings) -> OwnSize | None:
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


def is_trim_size(size: Size, card: CardSettings) -> bool:
    """Whether a trim that a file says is the card's, but for rounding: 0.5 % or half a millimetre."""
    pairs = ((size.width, card.trim.width), (size.height, card.trim.height))
    return all(abs(said - wanted) <= max(SAME_TRIM_MM, SAME_SHAPE * wanted) for said, wanted in pairs)
