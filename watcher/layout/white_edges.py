"""Patterns whose cards reach into the unprintable rim, which cards with white edges may do.

An edge of the sheet is free for a card when, on every side that prints there, the art has a white edge at least as wide
as the rim. Where all edges of a card are white for the widest rim, the card may be turned any way: the best pattern of
all is sought on the whole sheet. Otherwise the cards of a plain grid all lie the same way, so that each edge of the
sheet meets one known edge of the card.
"""

from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.backs import turn_behind, turns_about_vertical_axis
from watcher.layout.geometry import Box, Margins
from watcher.layout.guillotine import best_pattern
from watcher.layout.model import LayoutRequest, WhiteEdges
from watcher.layout.pattern import Pattern, best_plain_grid, plain_grid
from watcher.layout.printable import rim_of_back, trim_area, whole_page
from watcher.terms import Turn


@dataclass(frozen=True, kw_only=True)
class RimPattern:
    """A pattern that may reach into the rim, and the room that it was made for, mm."""

    pattern: Pattern
    room: Box


def best_rim_pattern(request: LayoutRequest, white: WhiteEdges) -> RimPattern | None:
    """The pattern with the most cards that the white edges allow; None where no edge is free, upright or turned."""
    if _is_white_all_round(request, white):
        room = whole_page(request.sheet)
        seek = best_pattern if request.mixed_turns else best_plain_grid
        return RimPattern(pattern=seek(room.size, request.trim, request.gutter), room=room)
    within = trim_area(request)
    rooms = {turn: room_with_free_edges(request, white, turn) for turn in (Turn.NONE, Turn.LEFT)}
    rim_patterns = [
        RimPattern(pattern=plain_grid(room.size, request.trim, request.gutter, turn), room=room)
        for turn, room in rooms.items()
        if room != within
    ]
    return min(
        rim_patterns, key=lambda rim_pattern: (-rim_pattern.pattern.up, rim_pattern.pattern.cut_lines), default=None
    )


def room_with_free_edges(request: LayoutRequest, white: WhiteEdges, turn: Turn) -> Box:
    """Where the trims of cards that all lie turned by `turn` may be, in the axes of the front page; mm."""
    within, page = trim_area(request), whole_page(request.sheet)
    free = {edge for edge, lack in missing_white(request, white, turn).items() if lack <= 0}
    return Box(*(getattr(page if edge in free else within, edge) for edge in ("left", "bottom", "right", "top")))


def missing_white(request: LayoutRequest, white: WhiteEdges, turn: Turn) -> dict[str, Fraction]:
    """For each edge of the sheet's front, how much wider the art's white edge would have to be, mm; 0 or less: free."""
    found = _apart(request.unprintable, turned_margins(white.front, turn))
    if request.flip is None or not request.two_sided or white.back is None:
        return found
    back_turn = turn_behind(turn, request.sheet, request.flip, request.backs)
    back = _apart(rim_of_back(request), turned_margins(white.back, back_turn))
    pair = ("left", "right") if turns_about_vertical_axis(request.sheet, request.flip) else ("bottom", "top")
    seen = back | {pair[0]: back[pair[1]], pair[1]: back[pair[0]]}
    return {edge: max(lack, seen[edge]) for edge, lack in found.items()}


def turned_margins(margins: Margins, turn: Turn) -> Margins:
    """The margins of a card as margins of the page on which it lies turned."""
    for _ in range(turn // 90):  # a quarter to the left: the top comes to lie at the left
        margins = Margins(top=margins.right, right=margins.bottom, bottom=margins.left, left=margins.top)
    return margins


def place_rim_pattern(rim_pattern: RimPattern, request: LayoutRequest) -> tuple[Fraction, Fraction]:
    """How far the pattern is moved to the right and up to lie in its room, mm.

    Along an axis on which its middle would fit between the rims it is centred. Else it lies against the top, or the
    left, of the room: one cut fewer than a sliver on either side.
    """
    trims = [box for box, _ in rim_pattern.pattern.trims()]
    outline, room, within = Box.around(trims), rim_pattern.room, trim_area(request)
    dx = room.left - outline.left
    if outline.width <= within.width:
        dx = within.centre.x - outline.centre.x
    dy = room.top - outline.top
    if outline.height <= within.height:
        dy = within.centre.y - outline.centre.y
    return dx, dy


def inked_part(trim: Box, white: Margins | None, turn: Turn) -> Box:
    """The part of a trim inside its white edges, on the page; the whole trim without any."""
    return trim if white is None else trim.within(turned_margins(white, turn))


def _is_white_all_round(request: LayoutRequest, white: WhiteEdges) -> bool:
    rims = [request.unprintable, *([rim_of_back(request)] if request.two_sided else [])]
    widest = max(width for rim in rims for width in vars(rim).values())
    sides = [white.front, *([white.back] if request.two_sided and white.back is not None else [])]
    return all(width >= widest for side in sides for width in vars(side).values())


def _apart(rim: Margins, white: Margins) -> dict[str, Fraction]:
    return {edge: getattr(rim, edge) - getattr(white, edge) for edge in ("top", "right", "bottom", "left")}
