"""Checks of size: pixels of a picture, pixels of pictures on a PDF page, size of the page."""

from collections.abc import Iterable
from fractions import Fraction

from watcher.art.fit_words import GOOD_PPI, good_pixels, show_extent
from watcher.art.model import CardFace, PagePicture, VectorPage
from watcher.art.reading import trim_box
from watcher.layout.geometry import Size
from watcher.settings.card import CardSettings
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, Level
from watcher.units import show_size

_ENLARGED = Fraction(5, 4)  # pages that are enlarged more have lines and type of another weight than was meant (ours)
# Pictures smaller than that on a page are ornaments; a soft picture of all of it is the art itself (our own choice).
_COUNTS, _IS_THE_ART = 0.05, 0.8


def resolution(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find a picture with too few pixels for its size: held below `hold_ppi`, a warning below `warn_ppi`."""
    ppi = face.fit.ppi
    if ppi is None or ppi >= card.warn_ppi:
        return
    held = ppi < card.hold_ppi
    needed = card.hold_ppi if held else card.warn_ppi
    size, with_bleed = _size_covered(face, card)
    said = (
        f"{face.art.file} is {show_extent(face.art)}, {int(ppi)} ppi at {show_size(size.width, size.height)}"
        f"{' with bleed' if with_bleed else ''}; {needed} ppi {'is needed' if held else 'is wanted'}. "
        f"Export it at {good_pixels(size)} ({GOOD_PPI} ppi)."
    )
    yield Finding(level=Level.HOLD if held else Level.WARN, code="low-resolution", message=said, side=face.art.side)


def soft_pictures(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find pictures on a PDF page with too few pixels. Shadows and glows, which are see-through, need none."""
    page = face.art.content
    if not isinstance(page, VectorPage):
        return
    scale = _scale(face)
    counting = [picture for picture in page.facts.pictures if picture.share >= _COUNTS and not picture.fades]
    if not counting:
        return
    softest = min(counting, key=lambda picture: picture.ppi)
    ppi = softest.ppi / scale
    if ppi >= card.warn_ppi:
        return
    held = ppi < card.hold_ppi and softest.share >= _IS_THE_ART
    needed = card.hold_ppi if ppi < card.hold_ppi else card.warn_ppi
    said = (
        f"{face.art.file} shows a picture of {softest.width_px} x {softest.height_px} px at {int(ppi)} ppi, on "
        f"{_percent(softest)} % of the page; {needed} ppi {'is needed' if held else 'is wanted'}. "
        f"Put a larger picture into the design: one of {int(softest.width_px * GOOD_PPI / ppi) + 1} px across."
    )
    yield Finding(level=Level.HOLD if held else Level.WARN, code="low-resolution", message=said, side=face.art.side)


def small_page(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find a PDF page much smaller than the card: lines and type become heavier than they were drawn."""
    scale = _scale(face)
    if not isinstance(face.art.content, VectorPage) or scale <= _ENLARGED:
        return
    page, shown = face.art.extent, face.fit.box
    said = (
        f"{face.art.file} is a page of only {show_size(page.width, page.height)}; it is enlarged {float(scale):.1f} "
        f"times to {show_size(shown.width, shown.height)}. Export it at the card's own size."
    )
    yield Finding(level=Level.WARN, code="small-page", message=said, side=face.art.side)


def _size_covered(face: CardFace, card: CardSettings) -> tuple[Size, bool]:
    with_bleed = bool(card.bleed) and face.fit.box.contains(trim_box(card).grown(card.bleed))
    return (card.trim.grown(card.bleed) if with_bleed else card.trim), with_bleed


def _scale(face: CardFace) -> Fraction:
    return face.fit.box.width / face.art.extent.width


def _percent(picture: PagePicture) -> int:
    return min(round(100 * picture.share), 100)
