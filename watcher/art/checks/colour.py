"""Checks of colour: transparency, colours that are not RGB or not sRGB, too much ink on one spot."""

import io
from collections.abc import Iterable
from fractions import Fraction

import numpy as np
from PIL import ImageCms

from watcher.art.formats.profile import is_srgb
from watcher.art.model import CardFace, Raster
from watcher.records.plain_text import one_line
from watcher.settings.card import CardSettings
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, Level
from watcher.units import show_mm

# Spots of full ink no larger than this share of the card do no harm: SWOP allows 325 % "in tiny areas" where it allows
# 300 % in all (quoted on groups.io, list colortheory). The share is our own choice.
_TINY_SHARE = 0.001
_REGISTRATION = 400  # all four inks at full strength: what crop marks outside the trim are drawn with


def flattened(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find transparency that was set on white."""
    clear = face.art.thumbnail.clear if face.art.thumbnail else 0.0
    if clear > 0:
        share = f"{100 * clear:.0f}" if clear >= 0.01 else "less than 1"
        said = f"{face.art.file} is see-through in places ({share} % of it); these are printed on white, as bare paper."
        yield Finding(level=Level.NOTE, code="transparency-flattened", message=said, side=face.art.side)


def not_rgb(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find CMYK or spot colours for a printer that takes RGB; said as a note where the printer has a colour profile."""
    inks = _inks(face)
    if not inks:
        return
    level = Level.NOTE if printer.output_profile else Level.WARN
    said = (
        f"{face.art.file} has its colours in {', '.join(one_line(ink) for ink in inks)}, not in RGB; an office printer "
        "may print them in other tones. Export it as RGB, or print one sheet first and look at it."
    )
    yield Finding(level=level, code="colours-not-rgb", message=said, side=face.art.side)


def not_srgb(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find an RGB profile that is not sRGB: it goes into the sheet, but many printers take every RGB for sRGB."""
    content = face.art.content
    if not isinstance(content, Raster) or content.stream.icc is None or is_srgb(content.stream.icc):
        return
    if content.stream.colours == 3 or content.stream.palette:
        said = (
            f"{face.art.file} has the colour profile {_profile_name(content.stream.icc)}, not sRGB; printers that go "
            "by sRGB print it in other tones, mostly duller. Export it as sRGB, or print one sheet first and look."
        )
        yield Finding(level=Level.WARN, code="profile-not-srgb", message=said, side=face.art.side)


def too_much_ink(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find more ink on one spot than the printer takes, in CMYK art."""
    most, share = _most_ink(face, printer.ink_limit)
    if most <= printer.ink_limit:
        return
    where = f" on {100 * share:.1f} % of its area" if share else ""
    said = (
        f"{face.art.file} has up to {show_mm(most, 0)} % of ink{where}; {show_mm(printer.ink_limit, 0)} % is the limit "
        "of this printer: it may smear or print off on the next sheet. Export it as RGB, or with less ink."
    )
    yield Finding(level=Level.WARN, code="too-much-ink", message=said, side=face.art.side)


def _inks(face: CardFace) -> tuple[str, ...]:
    content = face.art.content
    if isinstance(content, Raster):
        return ("CMYK",) if content.stream.colours == 4 else ()
    return content.facts.inks


def _most_ink(face: CardFace, limit: Fraction) -> tuple[Fraction, float]:
    """The most ink of more than a tiny part of the art, and how much of it has more than the limit (0: not known)."""
    content = face.art.content
    if not isinstance(content, Raster):
        most = content.facts.most_ink
        return (Fraction(0), 0.0) if most == _REGISTRATION and content.trim is not None else (most, 0.0)
    ink = face.art.thumbnail.ink if face.art.thumbnail else None
    if ink is None:
        return Fraction(0), 0.0
    share = float((ink > float(limit)).mean())
    return (Fraction(int(np.quantile(ink, 1 - _TINY_SHARE / 2))), share) if share > _TINY_SHARE else (Fraction(0), 0.0)


def _profile_name(icc: bytes) -> str:
    try:
        name = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(icc)))
    except (OSError, ImageCms.PyCMSError):
        return "of another kind"
    return one_line(name.strip()[:60]) or "of another kind"
