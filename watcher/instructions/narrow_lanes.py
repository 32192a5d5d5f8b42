"""Warn where the lanes between cards are narrower than twice the bleed: a cut that is off shows the neighbour."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from watcher.art.checks.bare_paper import ONE_COLOUR
from watcher.art.model import CardFace
from watcher.layout.lanes import narrowest_lane
from watcher.layout.model import Layout
from watcher.settings.card import CardSettings
from watcher.settings.sheet import SheetSettings
from watcher.settings.to_toml import SheetSetup
from watcher.settings.values import show_exact_length
from watcher.terms import Finding, Level, Side
from watcher.units import show_length

CODE = "narrow-gutter"


def lane_findings(
    layout: Layout, settings: SheetSetup, designs: Sequence[Sequence[CardFace]] = ()
) -> tuple[Finding, ...]:
    """Warn of narrow lanes, unless all art that meets in them is one flat colour along its edges.

    Args:
        layout: the sheet.
        settings: it is made with these.
        designs: the faces of each design on it; none where the art is not known yet.
    """
    card, sheet = settings.card, settings.sheet
    if sheet.gutter is None or sheet.gutter >= 2 * layout.bleed:  # what follows from the bleed is wide enough
        return ()
    lane = narrowest_lane(layout)
    if lane is None or lane >= 2 * layout.bleed:
        return ()
    if not designs:
        art = "Unless its art is one flat colour along its edges, "
        return (_finding(art, lane, card, sheet),)
    reason = next(_showing(designs), None)
    return () if reason is None else (_finding(f"{reason}, so ", lane, card, sheet),)


def _showing(designs: Sequence[Sequence[CardFace]]) -> Iterator[str]:
    """Why a neighbour would show on a card, as far as it would."""
    for side in Side:
        faces = [face for design in designs for face in design if face.art.side is side]
        uneven = next((face for face in faces if face.edge_colour is None), None)
        if uneven is not None:
            yield f"{uneven.art.file} is not one flat colour along its edges"
        colours = [face.edge_colour for face in faces if face.edge_colour is not None]
        spans = [max(values) - min(values) for values in zip(*colours, strict=True)]
        if max(spans, default=0) > ONE_COLOUR:
            yield f"The {side}s do not have the same colour along their edges"


def _finding(why: str, lane: Fraction, card: CardSettings, sheet: SheetSettings) -> Finding:
    twice = show_exact_length(2 * card.bleed, card.bleed)
    gutter = show_length(lane, sheet.gutter)
    own = f" by more than {show_length(lane / 2, sheet.gutter)}" if lane else ""
    said = (
        f"The cards on {sheet.name} lie {gutter} apart (gutter), but twice the bleed of {card.name} is {twice}. "
        f"{why}a cut that is off{own} leaves a strip of the neighbour on the card, as wide as the cut is off"
        f'{" beyond that" if lane else ""}. Leave gutter out or write gutter = "{twice}" for this sheet, or cut with '
        "great care."
    )
    return Finding(level=Level.WARN, code=CODE, message=said)
