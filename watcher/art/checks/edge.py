"""Checks of what the art shows: blank sides, white frames, narrow borders, and what stands too near to the cut."""

from collections.abc import Collection, Iterable
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from watcher.art.checks.edge_strips import within_trim
from watcher.art.checks.rim import EdgeMeasures, measure_edges
from watcher.art.model import CardFace
from watcher.art.pdf.text import text_near_cut
from watcher.settings.card import CardSettings
from watcher.settings.printer import PrinterSettings
from watcher.terms import Edge, Finding, Level
from watcher.units import show_length, show_mm

# Levels of 255. Nothing that anybody would print differs less than that from its ground.
_FLAT = 6
_PAPER = 246
_SPARSE = 9  # a first glance at one pixel in 81 tells most art apart from a blank side
# A white edge is a fault of the export when it leaves less than three quarters of the bleed; what is cut off anyway is
# none of the customer's concern (our own choice).
_BLEED_NEEDED = 0.75
# How exactly a border can be measured on the small picture, mm.
_EXACT_MM = 0.3
_EXACT_OF_TEXT_MM = 0.1  # of letters, whose boxes are known: as fine as the figures that are told
NARROW_BORDER_MM = 2.0  # our own choice; printers advise 1/4 in (clearprint.com)
_UNEVEN_MM = 1.0  # borders that differ more are not meant to be the same


def blank(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find a side without anything on it, or of one colour all over."""
    pixels = within_trim(face, card)
    if pixels is None:
        return
    if _range(pixels[::_SPARSE, ::_SPARSE]) > _FLAT or _range(pixels) > _FLAT:
        return
    low, high = pixels[::_SPARSE, ::_SPARSE].min(axis=(0, 1)), pixels[::_SPARSE, ::_SPARSE].max(axis=(0, 1))
    if int(low.min()) >= _PAPER:
        said = (
            f"{face.art.file} looks blank: it is white all over, no spot more than {_FLAT} of 255 levels off. "
            "Look whether the right page was exported; a card without a back needs sides = 1."
        )
        yield Finding(level=Level.WARN, code="blank-side", message=said, side=face.art.side)
    else:
        colour = ", ".join(str(int(value)) for value in (low.astype(int) + high) // 2)
        said = f"{face.art.file} is one flat colour all over (red, green, blue: {colour})."
        yield Finding(level=Level.NOTE, code="one-colour-side", message=said, side=face.art.side)


def white_frame(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find art with bleed by its shape whose ink ends before the bleed does, along a straight line at an edge."""
    if not card.bleed:
        return
    ending = [edge for edge in measure_edges(face, card) if _ends_in_bleed(edge)]
    if len(ending) < 4:  # not a frame: then only what ends at the cut itself is a slip and not a stripe
        ending = [edge for edge in ending if _left_of_bleed(edge) <= _EXACT_MM]
    if not ending:
        return
    worst = max(ending, key=lambda edge: edge.border.inside_mm if edge.border else 0.0)
    left = _left_of_bleed(worst)
    where = _named([edge.edge for edge in ending])
    said = (
        f"{face.art.file} has a white edge at {where}: of {show_length(card.bleed)} of bleed only "
        f"{_about(left)} mm are printed, so a cut that is off shows white. Let the design reach the very edge of the "
        "export, or export it without bleed."
    )
    yield Finding(level=Level.WARN, code="white-frame", message=said, side=face.art.side)


def narrow_border(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find a border of the same width all round that is too narrow for the cutter."""
    edges = measure_edges(face, card)
    widths = [edge.border.inside_mm for edge in edges if edge.border and not _ends_in_bleed(edge)]
    if len(widths) < 4 or max(widths) - min(widths) > _UNEVEN_MM:
        return
    narrowest = min(widths)
    if not 0 < narrowest < NARROW_BORDER_MM - _EXACT_MM / 2:
        return
    said = (
        f"{face.art.file} has a border of about {_about(narrowest)} mm all round; narrower than "
        f"{NARROW_BORDER_MM:.0f} mm it looks crooked once cut, for a cut may be off by 1 mm. Make it 5 mm or more, or "
        "let the design run out into the bleed."
    )
    yield Finding(level=Level.WARN, code="narrow-border", message=said, side=face.art.side)


def safe_zone(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find what stands nearer to the cut than the safe zone allows, or across it, and does not bleed off.

    Text of PDF art is measured letter by letter (`pdf.text`); all else is found on the small picture, without it.
    """
    text = text_near_cut(face, card)
    seen = measure_edges(text.textless if text else face, card)
    edges = {edge.edge: edge for edge in seen if not _has_border_within(edge, float(card.safe))}
    crossing = {edge for edge, found in edges.items() if found.crosses} | (text.crossing if text else frozenset())
    if crossing:
        said = (
            f"{face.art.file} has something across the cut at {_named(crossing)} that ends before the edge of the art: "
            f"it will be cut through. Move it {show_mm(card.safe)} mm inside the cut, or let it run out all the way."
        )
        yield Finding(level=Level.WARN, code="across-the-cut", message=said, side=face.art.side)
    near = {
        edge: found.nearest_mm
        for edge, found in edges.items()
        if found.nearest_mm is not None and found.nearest_mm < float(card.safe) - _EXACT_MM
    }
    for edge, nearest in (text.nearest_mm if text else {}).items():
        if nearest < float(card.safe) - _EXACT_OF_TEXT_MM:
            near[edge] = min(nearest, near.get(edge, nearest))
    standing = {edge: max(nearest, 0.0) for edge, nearest in near.items() if edge not in crossing}
    if standing:
        where = ", ".join(f"{_about(standing[edge])} mm at {_named([edge])}" for edge in Edge if edge in standing)
        said = (
            f"{face.art.file} has something near the cut: about {where}; {show_mm(card.safe)} mm are wanted. "
            "Move it inwards, or write a smaller safe for this card."
        )
        yield Finding(level=Level.WARN, code="safe-zone", message=said, side=face.art.side)


def _range(pixels: NDArray[np.uint8]) -> int:
    """The most that any colour varies, levels."""
    return max(int(pixels[..., colour].max()) - int(pixels[..., colour].min()) for colour in range(3))


def _has_border_within(edge: EdgeMeasures, mm: float) -> bool:
    """Whether a border runs so near that what stands beside it is told by it; borders have checks of their own."""
    return edge.border is not None and edge.border.inside_mm < mm


def _ends_in_bleed(edge: EdgeMeasures) -> bool:
    """Whether white paper begins before the bleed ends: at the trim, or so far out that too little bleed is left."""
    if edge.border is None or min(edge.border.outer) < _PAPER or edge.past_trim_mm <= _EXACT_MM:
        return False
    return -_BLEED_NEEDED * edge.past_trim_mm < edge.border.inside_mm <= _EXACT_MM


def _left_of_bleed(edge: EdgeMeasures) -> float:
    return max(-edge.border.inside_mm, 0.0) if edge.border else 0.0


def _named(edges: Collection[Edge]) -> str:
    """The edges for people: `the left and the top`, `all four edges`."""
    names = [f"the {edge.value}" for edge in Edge if edge in edges]
    if len(names) == 4:
        return "all four edges"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _about(mm: float) -> str:
    return show_mm(Fraction(mm).limit_denominator(1000), 1)
