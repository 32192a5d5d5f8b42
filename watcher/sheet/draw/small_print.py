"""Place the slug line and the ruler, which are printed on both faces of the sheet, outside all bleed.

They never cost a card and never hold an order: what has no room is left out, with a finding.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from watcher.layout.geometry import Box
from watcher.layout.marks.slug import place_slug
from watcher.layout.model import Layout, Mark, SlugPlace
from watcher.sheet.draw.lettering import printable_text, text_width
from watcher.sheet.draw.ruler import RULER_THICKNESS_MM, RULERS, Ruler
from watcher.terms import Duplex, Finding, Flip, Level, Side
from watcher.units import points_to_mm

# From the size that reads well down to the smallest that an office printer still draws clearly (common practice).
_TYPE_SIZES = tuple(Fraction(size) for size in ("6.5", "6", "5.5", "5"))
_ORDER_LENGTHS = (None, 40, 28, 16)  # letters of the order's name that are kept, the whole of it first
_SHORT_TURN = "fronts first, then the backs"  # where there is no room to say how
_LINE_HEIGHT = Fraction("1.2")  # of the type size
_ROUND_UP_MM = Fraction(1, 100)
_NUMBER_ALONE = Finding(
    level=Level.NOTE,
    code="slug-shortened",
    message="There is no room on the sheet for the line of small print; only the number of the sheet stands there.",
)


@dataclass(frozen=True, kw_only=True)
class SmallPrint:
    """The content of the slug line.

    Attributes:
        order: the order's name.
        card: the card's name.
        sheets: how many sheets are printed.
        flip: the edge to choose in the print dialog; None when one-sided.
        duplex: who turns the sheet.
        date: as it is printed.
        reload: how the stack goes back in, where a person puts it back and the settings say it.
        number: which of several different sheets it is, the same on both faces; empty where all are alike.
        whose: on a sheet that orders share, each order's name and the numbers of its places, for people.
        size_check: what can be measured on the sheet instead of a ruler; empty where there is one, or nothing.
    """

    order: str
    card: str
    sheets: int
    flip: Flip | None
    duplex: Duplex
    date: str
    reload: str | None = None
    number: str = ""
    whose: tuple[tuple[str, str], ...] = ()
    size_check: str = ""


@dataclass(frozen=True, kw_only=True)
class PlacedLine:
    """A line that is printed on the front alone: its place, its words and the size of its letters."""

    place: SlugPlace
    words: str
    type_pt: Fraction


@dataclass(frozen=True, kw_only=True)
class PlacedPrint:
    """The small print with its places, in front axes.

    Attributes:
        ruler, text: where each goes, or None where there is no room.
        scales: how long the ruler is, or None.
        type_pt: size of the letters.
        lines: what the text says on each face.
        findings: what was left out.
        whose: the line that says which place is whose; None where it is not wanted or has no room.
    """

    ruler: SlugPlace | None
    text: SlugPlace | None
    type_pt: Fraction
    lines: Mapping[Side, str]
    findings: tuple[Finding, ...]
    whose: PlacedLine | None = None
    scales: Ruler | None = None


@lru_cache(maxsize=64)
def place_small_print(
    layout: Layout, marks: tuple[Mark, ...], small_print: SmallPrint, taken: tuple[Box, ...] = ()
) -> PlacedPrint:
    """Place the longest ruler that has room, then the line; the order's name, then the letters shrink until it fits.

    What to measure instead of a ruler is left out of the line last; the number of the sheet is kept where there is no
    room for the rest.
    """
    scales, ruler = _place_ruler(layout, marks, taken)
    taken = (*taken, ruler.box) if ruler else taken
    findings = () if ruler else (_left_out("ruler-left-out", "the ruler"),)
    for type_pt, lines in _attempts(small_print):
        length = max(_length(line, type_pt) for line in lines.values())
        text = place_slug(layout, marks, length, _thickness(type_pt), taken)
        if text:
            whose = _place_whose(layout, marks, small_print.whose, (*taken, text.box))
            if small_print.whose and whose is None:
                findings = (*findings, _left_out("whose-left-out", "the line that says which place is whose"))
            if small_print.number and lines == _numbers_alone(small_print):
                findings = (*findings, _NUMBER_ALONE)
            return PlacedPrint(
                ruler=ruler, text=text, type_pt=type_pt, lines=lines, findings=findings, whose=whose, scales=scales
            )
    findings = (*findings, _left_out("slug-left-out", "the line of small print"))
    return PlacedPrint(ruler=ruler, text=None, type_pt=_TYPE_SIZES[-1], lines={}, findings=findings, scales=scales)


def _place_ruler(
    layout: Layout, marks: tuple[Mark, ...], taken: tuple[Box, ...]
) -> tuple[Ruler, SlugPlace] | tuple[None, None]:
    for ruler in RULERS:
        place = place_slug(layout, marks, ruler.length_mm, RULER_THICKNESS_MM, taken)
        if place:
            return ruler, place
    return None, None


def slug_words(small_print: SmallPrint, side: Side, order: str | None = None, turned: str | None = None) -> str:
    """The slug line of one face, with the order's name and how the sheet is turned as they are or shortened."""
    sheets = "1 sheet" if small_print.sheets == 1 else f"{small_print.sheets} sheets"
    parts = (
        small_print.number,
        small_print.order if order is None else order,
        small_print.card,
        side.value,
        f"print {sheets} at actual size",
        small_print.size_check,
        turn_words(small_print) if turned is None else turned,
        small_print.date,
    )
    return printable_text(" \u00b7 ".join(part for part in parts if part))


def turn_words(small_print: SmallPrint) -> str:
    """How the sheet is turned, in words: what to choose in the print dialog, or how the stack goes back in."""
    if small_print.flip is None:
        return "one side"
    turned = f"flip on the {small_print.flip.words}"
    if small_print.duplex is Duplex.AUTOMATIC:
        return turned
    if small_print.reload:  # which is not always a turn: some printers want the printed side up
        return f"fronts first, then put the stack back in: {small_print.reload}"
    return f"fronts first, then turn the stack: {turned}"


def _attempts(small_print: SmallPrint) -> Iterator[tuple[Fraction, dict[Side, str]]]:
    by_hand = small_print.flip is not None and small_print.duplex is Duplex.MANUAL
    turns = (turn_words(small_print), *([_SHORT_TURN] if by_hand else []))
    for said in dict.fromkeys((small_print, replace(small_print, size_check=""))):
        for turned in turns:
            for type_pt in _TYPE_SIZES:
                for order in dict.fromkeys(_shortened(said.order, kept) for kept in _ORDER_LENGTHS):
                    yield type_pt, {side: slug_words(said, side, order, turned) for side in _sides_of(said)}
    if small_print.number:
        for type_pt in _TYPE_SIZES:
            yield type_pt, _numbers_alone(small_print)


def _sides_of(small_print: SmallPrint) -> tuple[Side, ...]:
    return (Side.FRONT,) if small_print.flip is None else (Side.FRONT, Side.BACK)


def _numbers_alone(small_print: SmallPrint) -> dict[Side, str]:
    return {side: f"{small_print.number} \u00b7 {side}" for side in _sides_of(small_print)}


def _place_whose(
    layout: Layout, marks: tuple[Mark, ...], whose: tuple[tuple[str, str], ...], taken: tuple[Box, ...]
) -> PlacedLine | None:
    """Place the line that says which place is whose; all names are shortened before the letters are."""
    for type_pt in _TYPE_SIZES if whose else ():
        for kept in _ORDER_LENGTHS:
            words = whose_words([(_shortened(name, kept), places) for name, places in whose])
            place = place_slug(layout, marks, _length(words, type_pt), _thickness(type_pt), taken)
            if place:
                return PlacedLine(place=place, words=words, type_pt=type_pt)
    return None


def whose_words(whose: Sequence[tuple[str, str]]) -> str:
    """The line that says which place is whose, with places counted as the front is read."""
    owners = " \u00b7 ".join(f"{name}: {places}" for name, places in whose)
    return printable_text(f"places from the top left, row by row: {owners}")


def _shortened(name: str, kept: int | None) -> str:
    return name if kept is None or len(name) <= kept else f"{name[: kept - 1].rstrip()}\u2026"


def _length(line: str, type_pt: Fraction) -> Fraction:
    exact = points_to_mm(text_width(line, type_pt))
    return -(-exact // _ROUND_UP_MM) * _ROUND_UP_MM


def _thickness(type_pt: Fraction) -> Fraction:
    exact = points_to_mm(type_pt * _LINE_HEIGHT)
    return -(-exact // _ROUND_UP_MM) * _ROUND_UP_MM


def _left_out(code: str, what: str) -> Finding:
    return Finding(level=Level.NOTE, code=code, message=f"There is no room on the sheet for {what}; it is left out.")
