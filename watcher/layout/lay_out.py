"""Lay out a sheet: from a request to numbered places with their backs behind them. Other rooms call `lay_out` alone."""

from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from watcher.errors import NoCardFits
from watcher.layout.backs import box_behind, turn_behind
from watcher.layout.bleed_reach import bleed_boxes
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.guillotine import best_pattern
from watcher.layout.model import Face, Layout, LayoutRequest, Place
from watcher.layout.pattern import Pattern, best_plain_grid
from watcher.layout.printable import printable_on_front, trim_area
from watcher.layout.white_edges import best_rim_pattern, place_rim_pattern
from watcher.terms import Prefer, Turn
from watcher.units import show_mm, show_size


@lru_cache(maxsize=32)  # a full sheet of small cards is thousands of objects: keep what a shop uses in a day
def lay_out(request: LayoutRequest) -> Layout:
    """Give the sheet with the most cards that a guillotine can part.

    Turned cards are mixed in only where `mixed_turns` allows and it gains something; under `Prefer.FEWEST_CUTS` the
    plain grid is taken when it needs no more sheets for the cards wanted. Ties: fewer cut lines, then the simpler
    pattern. Trims lie in the printable area with the least bleed around them, on both faces; where bare edges gain a
    card, in the rim too (`white_edges.py`). Solved requests are remembered: the same request gives the same object.

    Raises:
        NoCardFits: not one card fits; the message has the room, the need, and the sheet that would do.
    """
    request = _without_units(request)
    room = trim_area(request)
    pattern = _choose_pattern(request, room.size)
    rim_pattern = best_rim_pattern(request, request.bare) if request.bare is not None else None
    if rim_pattern is not None and rim_pattern.pattern.up > pattern.up:
        pattern, trims = rim_pattern.pattern, _moved(rim_pattern.pattern, *place_rim_pattern(rim_pattern, request))
    elif pattern.up == 0:
        raise NoCardFits(_why_none_fits(request, room))
    else:
        rim_pattern, trims = None, _place_trims(pattern, room)
    return Layout(
        sheet=request.sheet,
        trim=request.trim,
        bleed=request.bleed,
        places=_number_places(trims, request),
        printable=printable_on_front(request),
        flip=request.flip if request.two_sided else None,
        cut_lines=pattern.cut_lines,
        mixed=0 < pattern.turned < pattern.up,
        in_rim=rim_pattern is not None,
    )


def _without_units(request: LayoutRequest) -> LayoutRequest:
    """The request in plain numbers.

    One in inches equals the same in millimetres, and has the same layout; in that nothing may tell which came first.
    """
    return replace(
        request,
        sheet=_plain_size(request.sheet),
        trim=_plain_size(request.trim),
        bleed=+request.bleed,  # what is reckoned from a `Length` has no unit
        least_bleed=+request.least_bleed,
        gutter=+request.gutter,
        unprintable=_plain_margins(request.unprintable),
        unprintable_back=request.unprintable_back and _plain_margins(request.unprintable_back),
    )


def _plain_size(size: Size) -> Size:
    return Size(+size.width, +size.height)


def _plain_margins(rim: Margins) -> Margins:
    return Margins(top=+rim.top, right=+rim.right, bottom=+rim.bottom, left=+rim.left)


def _choose_pattern(request: LayoutRequest, room: Size) -> Pattern:
    grid = best_plain_grid(room, request.trim, request.gutter)
    if not request.mixed_turns:
        return grid
    best = best_pattern(room, request.trim, request.gutter)
    if request.prefer is Prefer.FEWEST_CUTS and grid.up:
        wanted = max(1, request.cards_wanted)
        if -(-wanted // grid.up) == -(-wanted // best.up):
            return grid
    return best


def _place_trims(pattern: Pattern, room: Box) -> list[tuple[Box, Turn]]:
    """Centre the outline of all trims in the room; `trim_area` has made it symmetric along the axis that mirrors."""
    trims = list(pattern.trims())
    outline = Box.around([box for box, _ in trims])
    dx = room.centre.x - outline.centre.x
    dy = room.centre.y - outline.centre.y
    return [(box.moved(dx, dy), turn) for box, turn in trims]


def _moved(pattern: Pattern, dx: Fraction, dy: Fraction) -> list[tuple[Box, Turn]]:
    return [(box.moved(dx, dy), turn) for box, turn in pattern.trims()]


def _number_places(trims: list[tuple[Box, Turn]], request: LayoutRequest) -> tuple[Place, ...]:
    """Number as the front is read: rows from the top, left to right."""
    ordered = sorted(trims, key=lambda trim: (-trim[0].top, trim[0].left))
    outlines = bleed_boxes([box for box, _ in ordered], request.bleed, request.sheet)
    fronts = [
        Face(trim=box, bleed_box=bleed_box, turn=turn) for (box, turn), bleed_box in zip(ordered, outlines, strict=True)
    ]
    return tuple(
        Place(number=number, front=front, back=_back_of(front, request)) for number, front in enumerate(fronts, start=1)
    )


def _back_of(front: Face, request: LayoutRequest) -> Face | None:
    """The same card's face on the back page: behind its front, turned so that the cut card reads right."""
    sheet, flip = request.sheet, request.flip
    if flip is None or not request.two_sided:
        return None
    return Face(
        trim=box_behind(front.trim, sheet, flip),
        bleed_box=box_behind(front.bleed_box, sheet, flip),
        turn=turn_behind(front.turn, sheet, flip, request.backs),
    )


def _why_none_fits(request: LayoutRequest, room: Box) -> str:
    """One line: what the card needs, what there is, and which sheet would do."""
    bleed = 2 * request.least_bleed
    lost = Size(request.sheet.width - room.width, request.sheet.height - room.height)
    turn = min((Turn.NONE, Turn.LEFT), key=lambda turn: _missing(request.trim.turned(turn), room.size))
    card = request.trim.turned(turn)
    needs = Size(card.width + bleed, card.height + bleed)
    there = Size(max(Fraction(0), room.width + bleed), max(Fraction(0), room.height + bleed))
    larger = Size(
        max(request.sheet.width, card.width + lost.width), max(request.sheet.height, card.height + lost.height)
    )
    with_bleed = " with its bleed" if bleed else ""
    turned = " turned a quarter" if turn is Turn.LEFT else ""
    return (
        f"Not one card fits: {show_size(request.trim.width, request.trim.height)} "
        f"needs {_show_apart(needs, there)}{with_bleed}{turned}, "
        f"the printer can fill {_show_apart(there, needs)} of the {_show_apart(request.sheet, larger)} sheet. "
        f"Use a sheet of at least {_show_apart(larger, request.sheet)}, or a smaller card."
    )


def _missing(card: Size, room: Size) -> Fraction:
    """By how much the card is larger than the room: width and height added up."""
    return max(Fraction(0), card.width - room.width) + max(Fraction(0), card.height - room.height)


def _show_apart(size: Size, other: Size) -> str:
    """A size with as many decimals as it takes to see how it differs from `other`."""
    places = 2
    while places < 6 and any(
        mine != theirs and show_mm(mine, places) == show_mm(theirs, places)
        for mine, theirs in ((size.width, other.width), (size.height, other.height))
    ):
        places += 1
    return f"{show_mm(size.width, places)} x {show_mm(size.height, places)} mm"
