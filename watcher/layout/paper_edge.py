"""Cards whose art leaves its edges bare may lie in the rim that the printer cannot print, up to the sheet's edge.

Pure arithmetic: how wide each edge is bare comes in as numbers. An edge of the sheet is free for a card when on every
side that prints there the art is bare for at least as far as the rim reaches. Where all edges of a card are bare for
the widest rim, it may be turned any way, and the best pattern of all is sought on the whole sheet; else the cards of a
plain grid all lie the same way, so that each edge of the sheet meets one known edge of the card.
"""

from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.backs import turn_behind, turns_about_vertical_axis
from watcher.layout.geometry import Box, Margins
from watcher.layout.guillotine import best_pattern
from watcher.layout.model import BarePaper, LayoutRequest
from watcher.layout.pattern import Pattern, best_plain_grid, plain_grid
from watcher.layout.printable import rim_of_back, strip, whole_page
from watcher.terms import Turn


@dataclass(frozen=True, kw_only=True)
class Reach:
    """A pattern that reaches into the rim, and the room that it was made for, mm."""

    pattern: Pattern
    room: Box


def best_reach(request: LayoutRequest, bare: BarePaper) -> Reach | None:
    """The pattern with the most cards that bare edges allow; None where no edge is free either way up."""
    if _is_bare_all_round(request, bare):
        room = whole_page(request.sheet)
        seek = best_pattern if request.mixed_turns else best_plain_grid
        return Reach(pattern=seek(room.size, request.trim, request.gutter), room=room)
    within = strip(request)
    rooms = {turn: free_room(request, bare, turn) for turn in (Turn.NONE, Turn.LEFT)}
    reaches = [
        Reach(pattern=plain_grid(room.size, request.trim, request.gutter, turn), room=room)
        for turn, room in rooms.items()
        if room != within
    ]
    return min(reaches, key=lambda reach: (-reach.pattern.up, reach.pattern.cut_lines), default=None)


def free_room(request: LayoutRequest, bare: BarePaper, turn: Turn) -> Box:
    """Where the trims of cards that all lie turned by `turn` may be, in the axes of the front page; mm."""
    within, page = strip(request), whole_page(request.sheet)
    free = {edge for edge, lack in lacks(request, bare, turn).items() if lack <= 0}
    return Box(*(getattr(page if edge in free else within, edge) for edge in ("left", "bottom", "right", "top")))


def lacks(request: LayoutRequest, bare: BarePaper, turn: Turn) -> dict[str, Fraction]:
    """For each edge of the sheet's front, how much bare paper the art lacks there; 0 or less: the edge is free."""
    found = _apart(request.unprintable, turned_margins(bare.front, turn))
    if request.flip is None or not request.two_sided or bare.back is None:
        return found
    back_turn = turn_behind(turn, request.sheet, request.flip, request.backs)
    back = _apart(rim_of_back(request), turned_margins(bare.back, back_turn))
    pair = ("left", "right") if turns_about_vertical_axis(request.sheet, request.flip) else ("bottom", "top")
    seen = back | {pair[0]: back[pair[1]], pair[1]: back[pair[0]]}
    return {edge: max(lack, seen[edge]) for edge, lack in found.items()}


def turned_margins(margins: Margins, turn: Turn) -> Margins:
    """What lies at the edges of a card, at the edges of the page once the card is turned."""
    for _ in range(turn // 90):  # a quarter to the left: the top comes to lie at the left
        margins = Margins(top=margins.right, right=margins.bottom, bottom=margins.left, left=margins.top)
    return margins


def place_reach(reach: Reach, request: LayoutRequest) -> tuple[Fraction, Fraction]:
    """How far the pattern is moved into its room, mm.

    Along an axis on which its middle would fit between the rims it is centred. Else it lies against the top, or the
    left, of the room: one cut fewer than a sliver on either side.
    """
    trims = [box for box, _ in reach.pattern.trims()]
    outline, room, within = Box.around(trims), reach.room, strip(request)
    dx = room.left - outline.left
    if outline.width <= within.width:
        dx = within.centre.x - outline.centre.x
    dy = room.top - outline.top
    if outline.height <= within.height:
        dy = within.centre.y - outline.centre.y
    return dx, dy


def inked(trim: Box, bare: Margins | None, turn: Turn) -> Box:
    """The part of a card on its page that may carry ink."""
    return trim if bare is None else trim.within(turned_margins(bare, turn))


def _is_bare_all_round(request: LayoutRequest, bare: BarePaper) -> bool:
    rims = [request.unprintable, *([rim_of_back(request)] if request.two_sided else [])]
    widest = max(width for rim in rims for width in vars(rim).values())
    sides = [bare.front, *([bare.back] if request.two_sided and bare.back is not None else [])]
    return all(width >= widest for side in sides for width in vars(side).values())


def _apart(rim: Margins, bare: Margins) -> dict[str, Fraction]:
    return {edge: getattr(rim, edge) - getattr(bare, edge) for edge in ("top", "right", "bottom", "left")}
