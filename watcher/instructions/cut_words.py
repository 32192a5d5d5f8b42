"""The words of the cut table and of what follows it: piles, folds, corners, the envelope. Mark-up is `<b>` alone."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from watcher.instructions.finishing import Finishing, play_in_envelope
from watcher.instructions.words import NO_BREAK, both_units, inches_to_32nds, size_in_both
from watcher.layout.geometry import Size
from watcher.layout.model import Stroke
from watcher.orders.quantity import counted
from watcher.terms import CutterKind, Fold
from watcher.units import show_mm

ABOUT = "\N{ALMOST EQUAL TO}"
NO_MARK = "no mark: by measure"


@dataclass(frozen=True, kw_only=True)
class CutRow:
    """One line of the cut table, as people read it."""

    number: str
    edge: str
    mm: str
    inches: str
    what: str


def cut_rows(finishing: Finishing, up: int, unmarked: Iterable[tuple[bool, Fraction]]) -> list[CutRow]:
    """Write each stroke as a line of the cut table.

    Args:
        finishing: has the plan.
        up: cards on the sheet.
        unmarked: the lines to cut without a mark: whether they run upwards, and where, mm.
    """
    without = set(unmarked)
    return [
        CutRow(
            number=str(stroke.number),
            edge=stroke.against.upper(),
            mm=show_mm(stroke.gauge),
            inches=_short(inches_to_32nds(stroke.gauge)),
            what=_what(stroke, up, has_mark=(stroke.is_upright, stroke.line) not in without),
        )
        for stroke in finishing.plan.strokes
    ]


def _short(inches: str) -> str:
    """As it stands in a narrow column: `7\u00a03/4`, `\u2248\u00a03\u00a011/32`."""
    return inches.removesuffix(" in").replace("about", ABOUT).replace(" ", NO_BREAK)


def _what(stroke: Stroke, up: int, *, has_mark: bool) -> str:
    said = f"{_pieces(stroke, up)}: {_gives(stroke)}"
    if not stroke.to_the_mark:
        return said  # measured from a cut edge, which the mark only confirms
    return f"{said}; <b>to the mark</b>" if has_mark else f"{said}; {NO_MARK}"


def _pieces(stroke: Stroke, up: int) -> str:
    cards = [card for piece in stroke.pieces for card in piece.cards]
    if len(stroke.pieces) == 1:
        return "sheet" if len(cards) == up else cards_named(cards)
    return f"{len(stroke.pieces)} pieces, {cards_named(cards)}"


def _gives(stroke: Stroke) -> str:
    """Say what comes off with a stroke, and which cards it finishes."""
    off = [beyond for _, beyond in stroke.gives if beyond is not None]
    done = [piece for pair in stroke.gives for piece in pair if piece is not None and piece.name.startswith("card ")]
    parts = []
    if not off:
        parts.append("waste off")
    elif any(piece not in done for piece in off):
        parts.append(f"{cards_named(card for piece in off for card in piece.cards)} come off")
    if done:
        parts.append(f"{cards_named(card for piece in done for card in piece.cards)} done")
    return ", ".join(parts)


def cards_named(cards: Iterable[int]) -> str:
    """`card 7`, `cards 1-4, 9`."""
    runs: list[list[int]] = []
    for card in sorted(cards):
        if runs and card == runs[-1][-1] + 1:
            runs[-1].append(card)
        else:
            runs.append([card])
    named = ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}\N{EN DASH}{run[-1]}" for run in runs)
    return f"{'card' if runs == [[runs[0][0]]] else 'cards'}{NO_BREAK}{named}"


def how_to_cut(finishing: Finishing, *, has_marks: bool) -> str:
    """Say how to use the cut table at this cutter."""
    if not finishing.plan.strokes:
        return "Nothing is cut: the card is as large as the sheet."
    marked = "" if has_marks else " <b>The sheet carries no marks: go by the measures.</b>"
    if finishing.cutter is CutterKind.SCISSORS:
        way = ", from mark to mark" if has_marks else ""
        return (
            f"<b>Front side up, one cut after the other</b>{way}. The measure is the distance of the cut "
            f"from the named edge of the piece, as the front of the sheet is read.{marked}"
        )
    at = "gauge" if finishing.cutter is CutterKind.GUILLOTINE else "stop"
    held = "under the clamp" if finishing.cutter is CutterKind.GUILLOTINE else "under the rail"
    return (
        f"<b>Front side up, in this order.</b> Lay the named edge (as the front is read) at the {at}, set the measure, "
        f"cut: the good part stays {held}, what falls off lies in front. Pieces named together lie side by side, all "
        f"against the {at}.{marked}"
    )


def piles_line(finishing: Finishing, sheets: int) -> str:
    """Say how many piles there are, and how many cuts in all."""
    cuts, piles = finishing.cuts_a_pile, finishing.piles(sheets)
    if not cuts:
        return ""
    if piles is None:
        height = _both(finishing, finishing.pile.height or Fraction(0))
        return (
            f"<b>{counted(cuts, 'cut')} a pile</b>; piles of at most {height}. (Write the thickness of this paper in "
            "the settings, and it says here how many.)"
        )
    most = finishing.pile.sheets_of(finishing.thickness) or sheets
    holds = "one sheet at a time" if most == 1 else f"at most {most} sheets at a time"
    return (
        f"<b>{counted(sheets, 'sheet')}, {holds}: {counted(piles, 'pile')}, {counted(cuts, 'cut')} each, "
        f"{counted(cuts * piles, 'cut')} in all.</b>"
    )


def _both(finishing: Finishing, mm: Fraction) -> str:
    """A length in both units, that of the card's size first."""
    return both_units(mm, inches_first=finishing.inches_first)


def _size(finishing: Finishing, size: Size) -> str:
    return size_in_both(size, inches_first=finishing.inches_first)


def after_cutting(finishing: Finishing, *, has_score_marks: bool = False) -> Iterator[tuple[str, str]]:
    """Say what is done to the cut cards; a label and a sentence each."""
    if finishing.fold:
        yield "Fold", _fold(finishing, has_score_marks=has_score_marks)
    if finishing.corner:
        yield "Corners", f"round all four to a radius of <b>{_both(finishing, finishing.corner)}</b>"
    if finishing.envelope:
        yield "Envelope", _envelope(finishing)


def _fold(finishing: Finishing, *, has_score_marks: bool) -> str:
    marked = " (dashed marks outside the cut show where)" if has_score_marks else ""
    if finishing.fold is Fold.LEFT:
        at, edge, like = finishing.folded.width, "left", "it opens like a book"
    else:
        at, edge, like = finishing.folded.height, "top", "it opens upwards, like a tent"
    size = _size(finishing, finishing.folded)
    return (
        f"score <b>{_both(finishing, at)} from the trimmed {edge} edge</b>{marked}, then fold with the front side "
        f"outwards to {size}; {like}"
    )


def _envelope(finishing: Finishing) -> str:
    assert finishing.envelope is not None
    play = play_in_envelope(finishing.folded, finishing.envelope)
    size = _size(finishing, finishing.envelope)
    if min(play.width, play.height) < 0:
        return f"{size}: <b>the card is too large for it</b>"
    return f"{size}: the card goes in with {_both(finishing, play.width)} and {_both(finishing, play.height)} of play"
