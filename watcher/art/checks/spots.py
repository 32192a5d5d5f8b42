"""Find where on a side each finding is to be seen, for the picture that lies with a held order."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto
from fractions import Fraction

from watcher.art.checks.rim import EdgeMeasures, measure_edges
from watcher.art.fit_words import HELD_FOR_FIT
from watcher.art.model import CardFace
from watcher.art.pdf.text import text_near_cut
from watcher.art.reading import trim_box
from watcher.layout.geometry import Box
from watcher.settings.card import CardSettings
from watcher.terms import Edge

_ACROSS, _NEAR = "across-the-cut", "safe-zone"
_WHOLE_SIDE = frozenset(
    {"blank-side", "one-colour-side", "back-is-front", "low-resolution", "white-frame", "narrow-border", "not-rgb"}
)
_LEAST_MM = Fraction(1, 10)  # thinner strips are what an export's rounding leaves


class Mark(Enum):
    """How a spot is marked in a picture."""

    RING = auto()  # a ring around it
    FRAME = auto()  # it is the whole side
    CUT_OFF = auto()  # art that would be cut away
    BARE = auto()  # card that would stay without art


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A place on a card that a finding is about; `box` in mm, origin at the lower left of the card's trim."""

    mark: Mark
    box: Box


def spots_of(code: str, face: CardFace, card: CardSettings) -> tuple[Spot, ...]:
    """Find the places on a side that a finding of this code is about; none where it is about no place.

    Args:
        code: of the finding.
        face: the side, with its thumbnail.
        card: as it is opened out.
    """
    if code in (_ACROSS, _NEAR):
        return tuple(Spot(mark=Mark.RING, box=box) for box in _near_cut(code, face, card))
    if code in HELD_FOR_FIT:
        return tuple(_misfit(face, card))
    return (Spot(mark=Mark.FRAME, box=trim_box(card)),) if code in _WHOLE_SIDE else ()


def _near_cut(code: str, face: CardFace, card: CardSettings) -> Iterator[Box]:
    """What stands too near to the cut, or across it; the whole edge where only its letters were measured."""
    text = text_near_cut(face, card)
    seen = {edge.edge: edge for edge in measure_edges(face, card)}
    crossing = {edge for edge, found in seen.items() if found.crosses} | (text.crossing if text else frozenset())
    near = {edge for edge, found in seen.items() if found.nearest_mm is not None} | set(text.nearest_mm if text else ())
    for edge in sorted(crossing if code == _ACROSS else near - crossing):
        found = seen.get(edge)
        if found is None or not found.stretches_mm:
            yield _along(edge, None, face, card)
        else:
            yield from (_along(edge, stretch, face, card, found) for stretch in found.stretches_mm)


def _along(
    edge: Edge,
    stretch: tuple[float, float] | None,
    face: CardFace,
    card: CardSettings,
    found: EdgeMeasures | None = None,
) -> Box:
    """The part of the safe zone beside an edge, from and to, and what is past the trim where that is crossed."""
    trim = trim_box(card)
    shown = trim.grown(face.fit.bleed).meet(face.fit.box)
    past = Fraction(found.past_trim_mm) if found is not None and found.crosses else Fraction(0)
    safe = card.safe
    from_mm, to_mm = (Fraction(at) for at in stretch) if stretch else (Fraction(0), max(shown.width, shown.height))
    if edge in (Edge.TOP, Edge.BOTTOM):
        left, right = max(shown.left + from_mm, trim.left), min(shown.left + to_mm, trim.right)
        low, high = (trim.top - safe, trim.top + past) if edge is Edge.TOP else (trim.bottom - past, trim.bottom + safe)
        return Box(left, low, max(right, left), high)
    top, bottom = min(shown.top - from_mm, trim.top), max(shown.top - to_mm, trim.bottom)
    low, high = (trim.right - safe, trim.right + past) if edge is Edge.RIGHT else (trim.left - past, trim.left + safe)
    return Box(low, min(bottom, top), high, top)


def _misfit(face: CardFace, card: CardSettings) -> Iterator[Spot]:
    """What of the art lies outside of card and bleed, and what of the card lies outside of the art."""
    trim = trim_box(card)
    yield from (Spot(mark=Mark.CUT_OFF, box=box) for box in _outside(face.fit.box, trim.grown(card.bleed)))
    yield from (Spot(mark=Mark.BARE, box=box) for box in _outside(trim, face.fit.box))


def _outside(box: Box, kept: Box) -> Iterator[Box]:
    """The strips of a box that lie left, right, above and below of another."""
    strips = (
        Box(box.left, box.bottom, min(kept.left, box.right), box.top),
        Box(max(kept.right, box.left), box.bottom, box.right, box.top),
        Box(max(box.left, kept.left), max(kept.top, box.bottom), min(box.right, kept.right), box.top),
        Box(max(box.left, kept.left), box.bottom, min(box.right, kept.right), min(kept.bottom, box.top)),
    )
    return (strip for strip in strips if strip.width > _LEAST_MM and strip.height > _LEAST_MM)
