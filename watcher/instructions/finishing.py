"""The finishing of printed sheets: cutting, piles, folding, corners, the envelope; and what to warn of.

Comes in: settings and a layout. Goes out: the facts for instructions and ticket (`Finishing`), and what is to be said.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from watcher.instructions.words import both_units, is_given_in_inches, size_in_both
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Size
from watcher.layout.marks.score import lies_across_grain
from watcher.layout.marks.sheet_marks import SheetMarks
from watcher.layout.model import CutPlan, Layout
from watcher.settings.amounts import Pile
from watcher.settings.to_toml import SheetSetup
from watcher.terms import CutterKind, Edge, Finding, Fold, Grain, Level
from watcher.units import show_mm

MOST_LINES_NAMED = 8
TIGHT_MM = Fraction("1.5")  # less play than this and a card must be pushed in; common practice, no source


@dataclass(frozen=True, kw_only=True)
class Finishing:
    """How the printed sheets are finished.

    Attributes:
        plan: the strokes that part a sheet.
        lead: the edge of the front that enters the printer first, where it is known.
        cutter: what cuts.
        pile: how much it takes at a time.
        thickness: of one sheet, mm, where it is known.
        folded: the finished card: folded where there is a fold, mm.
        fold: where it is folded, or None.
        corner: radius of the corners, mm; 0 for square ones.
        envelope: mm, or None.
        inches_first: whether the settings give the card in inches, so that people read these first.
    """

    plan: CutPlan
    lead: Edge | None
    cutter: CutterKind
    pile: Pile
    thickness: Fraction | None
    folded: Size
    fold: Fold | None
    corner: Fraction
    envelope: Size | None
    inches_first: bool = False

    def piles(self, sheets: int) -> int | None:
        """In how many piles so many sheets are cut; None where the thickness of the paper is not known."""
        most = self.pile.sheets_of(self.thickness)
        return None if most is None else -(-sheets // most)

    @property
    def cuts_a_pile(self) -> int:
        """Cuts for one pile: a stroke each, but scissors go through one piece at a time."""
        if self.cutter is CutterKind.SCISSORS:
            return sum(len(stroke.pieces) for stroke in self.plan.strokes)
        return len(self.plan.strokes)


def plan_finishing(settings: SheetSetup, layout: Layout) -> Finishing:
    """Plan what is done to the printed sheets of a card."""
    card, printer, cutter = settings.card, settings.printer, settings.cutter
    return Finishing(
        plan=plan_cuts(layout, lead=printer.lead, guide=printer.guide, least_gauge=cutter.least_gauge),
        lead=printer.lead,
        cutter=cutter.kind,
        pile=cutter.pile,
        thickness=settings.sheet.thickness,
        folded=card.trim,
        fold=card.fold,
        corner=card.corner,
        envelope=card.envelope,
        inches_first=is_given_in_inches(card.trim),
    )


def finishing_findings(finishing: Finishing, layout: Layout, grain: Grain | None) -> tuple[Finding, ...]:
    """Warn of what makes the cutting or folding hard."""
    return (
        *_across_grain(finishing, layout, grain),
        *_envelope(finishing),
        *_short_gauges(finishing),
    )


def mark_findings(marks: SheetMarks, *, crosses: bool) -> tuple[Finding, ...]:
    """Say which marks found no room on the sheet; `crosses`: whether register crosses were asked for."""
    said = []
    if marks.unmarked:
        said.append(("marks-left-out", _unmarked(marks.unmarked)))
    if marks.folds_unmarked:
        said.append(("score-marks-left-out", "There is no room on the sheet for score marks: score by the measure."))
    if marks.scores_unlabelled:
        said.append(
            ("score-words-left-out", "There is no room for a word beside the dashed marks: they show where to score.")
        )
    if crosses and not marks.crosses:
        said.append(("crosses-left-out", "There is no room on the sheet for register crosses; they are left out."))
    return tuple(Finding(level=Level.NOTE, code=code, message=message) for code, message in said)


def _unmarked(lines: tuple[tuple[bool, Fraction], ...]) -> str:
    """How many lines have no mark, and where they are."""
    count = "1 of the lines to cut has" if len(lines) == 1 else f"{len(lines)} of the lines to cut have"
    places = []
    for upright, edge in ((True, "left"), (False, "bottom")):
        found = sorted({line for is_upright, line in lines if is_upright is upright})
        if found:
            measures = ", ".join(show_mm(line) for line in found[:MOST_LINES_NAMED])
            more = ", \N{HORIZONTAL ELLIPSIS}" if len(found) > MOST_LINES_NAMED else ""
            places.append(f"{measures}{more} mm from the {edge} edge of the front")
    return f"{count} no mark, for there is no room: at {' and '.join(places)}. Cut there by the measure."


def play_in_envelope(card: Size, envelope: Size) -> Size:
    """Give how much larger the envelope is than the card, either way round; negative where it is too small."""
    as_read, turned = (
        Size(envelope.width - side.width, envelope.height - side.height)
        for side in (card, Size(card.height, card.width))
    )
    return max(as_read, turned, key=lambda play: min(play.width, play.height))


def _across_grain(finishing: Finishing, layout: Layout, grain: Grain | None) -> Iterator[Finding]:
    if finishing.fold is None or grain is None or not lies_across_grain(layout, finishing.fold, grain):
        return
    other = Grain.SHORT if grain is Grain.LONG else Grain.LONG
    said = (
        f"The fold runs across the grain of this paper, which lies along its {grain} side: it may crack. Score it "
        f"well, or take paper with the grain along its {other} side."
    )
    yield Finding(level=Level.WARN, code="fold-across-grain", message=said)


def _envelope(finishing: Finishing) -> Iterator[Finding]:
    if finishing.envelope is None:
        return
    play = play_in_envelope(finishing.folded, finishing.envelope)
    least = min(play.width, play.height)
    first = finishing.inches_first
    card, envelope = (size_in_both(size, inches_first=first) for size in (finishing.folded, finishing.envelope))
    kind = "folded card" if finishing.fold else "card"
    short, play_left, easy = (both_units(mm, inches_first=first) for mm in (-least, least, TIGHT_MM))
    if least < 0:
        said = (
            f"The {kind}, {card}, does not fit into the envelope, {envelope}: it is {short} too large. Take a larger "
            "envelope."
        )
        yield Finding(level=Level.WARN, code="envelope-too-small", message=said)
    elif least < TIGHT_MM:
        said = (
            f"The {kind}, {card}, fits tightly into the envelope, {envelope}: {play_left} of play; {easy} or more is "
            "easy. Try one first."
        )
        yield Finding(level=Level.NOTE, code="envelope-tight", message=said)


def _short_gauges(finishing: Finishing) -> Iterator[Finding]:
    short = finishing.plan.too_short
    if not short:
        return
    numbers = ", ".join(str(stroke.number) for stroke in short)
    cuts = f"Cut {numbers} has" if len(short) == 1 else f"Cuts {numbers} have"
    shortest, least = (
        both_units(gauge, inches_first=finishing.inches_first)
        for gauge in (min(stroke.gauge for stroke in short), finishing.plan.least_gauge)
    )
    said = (
        f"{cuts} only {shortest} from gauge to knife; this {finishing.cutter} holds {least} or more. Make these cuts "
        "on a trimmer."
    )
    yield Finding(level=Level.WARN, code="gauge-too-short", message=said)
