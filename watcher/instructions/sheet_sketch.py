"""The drawing of the sheet on the instruction page: its numbered places, and the cuts with their numbers."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.lib.colors import Color, black, white
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from watcher.layout.geometry import Box
from watcher.layout.model import CutPiece, Layout, Place, Stroke
from watcher.terms import Edge, Fold

PAPER_GREY = Color(0.86, 0.86, 0.86)
LINE_GREY = Color(0.45, 0.45, 0.45)
RIM = 29.0  # points around the sheet, for the numbers of the cuts and the names of the edges
NAME_SIZE, BUBBLE_SIZE = 7.0, 6.4
BUBBLE_HIGH = 9.0
CUT_WIDTH, CARD_WIDTH = 1.1, 0.3
_STEP = 4.0  # between two tries to place a number, points

_Rect = tuple[float, float, float, float]  # left, bottom, right, top; points from the sheet's lower left


class SketchOfSheet(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """What the drawings of a sheet have in common: its scale, and the size that it takes on the page.

    Args:
        layout: the solved sheet.
        room: greatest width and height, points.
        fonts: names of the plain and the bold font, registered.
    """

    def __init__(self, layout: Layout, room: tuple[float, float], fonts: tuple[str, str]) -> None:
        super().__init__()
        self.layout, self.fonts = layout, fonts
        self.scale = sketch_scale(layout, room)
        self.width = float(layout.sheet.width) * self.scale + 2 * RIM
        self.height = float(layout.sheet.height) * self.scale + 2 * RIM

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size, whatever there is; called by reportlab."""
        return self.width, self.height


class SheetDrawing(SketchOfSheet):
    """The sketch as a part of the page, as large as `room` (width, height in points) allows.

    Args:
        layout: the solved sheet.
        strokes: the cuts to draw and number.
        fold: where the cards are folded, or None.
        room: greatest width and height.
        fonts: names of the plain and the bold font, registered.
    """

    def __init__(
        self,
        layout: Layout,
        strokes: Sequence[Stroke],
        fold: Fold | None,
        room: tuple[float, float],
        fonts: tuple[str, str],
    ) -> None:
        super().__init__(layout, room, fonts)
        self.strokes, self.fold = strokes, fold

    def draw(self) -> None:
        """Paint it; called by reportlab with the origin at the lower left."""
        self.canv.saveState()
        self.canv.translate(RIM, RIM)
        SheetSketch(self.canv, self.layout, self.scale, self.fonts).draw(self.strokes, self.fold)
        self.canv.restoreState()


def sketch_scale(layout: Layout, room: tuple[float, float]) -> float:
    """Points for a millimetre."""
    return min((room[0] - 2 * RIM) / float(layout.sheet.width), (room[1] - 2 * RIM) / float(layout.sheet.height))


@dataclass(frozen=True, kw_only=True)
class _Bubble:
    """A number and where it stands, and the cut's end that a thin line leads to."""

    text: str
    box: _Rect
    end: tuple[float, float]


class SheetSketch:
    """Draws the front of a sheet, its lower left at the canvas's origin."""

    def __init__(self, canvas: Canvas, layout: Layout, scale: float, fonts: tuple[str, str]) -> None:
        self.canvas, self.layout, self.scale = canvas, layout, scale
        self.font, self.bold = fonts
        self.taken: list[_Rect] = []
        self.cards = [self.on_paper(place.front.trim) for place in layout.places]

    def draw(self, strokes: Sequence[Stroke], fold: Fold | None) -> None:
        """Paint sheet, places, folds, cuts and numbers."""
        canvas, sheet = self.canvas, self.layout.sheet
        canvas.setLineWidth(0.8)
        canvas.setStrokeColor(black)
        canvas.setFillColor(PAPER_GREY)
        canvas.rect(0, 0, float(sheet.width) * self.scale, float(sheet.height) * self.scale, fill=1)
        for place in self.layout.places:
            self._draw_place(place, fold)
        self.name_edges()
        for stroke in strokes:
            self._draw_cut(stroke)
        for bubble in self._bubbles(strokes):
            self._draw_bubble(bubble)

    # -- places --------------------------------------------------------------------------------------------------------

    def _draw_place(self, place: Place, fold: Fold | None) -> None:
        left, bottom, right, top = self.on_paper(place.front.trim)
        canvas = self.canvas
        canvas.setFillColor(white)
        canvas.setLineWidth(CARD_WIDTH)
        canvas.rect(left, bottom, right - left, top - bottom, fill=1)
        self.draw_head_of(place, fold)
        self._draw_number(place, (left, bottom, right, top))

    def draw_head_of(self, place: Place, fold: Fold | None = None) -> None:
        """The triangle at the top of a card, whichever way it lies, and its fold."""
        canvas, (left, bottom, right, top) = self.canvas, self.on_paper(place.front.trim)
        canvas.saveState()
        canvas.translate((left + right) / 2, (bottom + top) / 2)
        canvas.rotate(int(place.front.turn))
        across, up = (top - bottom, right - left) if place.front.turn.swaps_sides else (right - left, top - bottom)
        self._draw_head(across, up)
        if fold:
            self._draw_fold(across, up, fold)
        canvas.restoreState()

    def _draw_number(self, place: Place, box: _Rect) -> None:
        size = max(6.0, min(16.0, 0.3 * min(box[2] - box[0], box[3] - box[1])))
        text, x, y = str(place.number), (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        wide = self.canvas.stringWidth(text, self.bold, size)
        self.canvas.setFillColor(white)
        self.canvas.rect(x - wide / 2 - 1, y - size / 2, wide + 2, size, stroke=0, fill=1)  # not across a fold
        self.canvas.setFillColor(LINE_GREY)
        self.canvas.setFont(self.bold, size)
        self.canvas.drawCentredString(x, y - 0.36 * size, text)
        self.taken.append((x - wide / 2, y - size / 2, x + wide / 2, y + size / 2))

    def _draw_head(self, across: float, up: float) -> None:
        """A small triangle inside the card's top edge; the origin is the card's centre, y to its top."""
        canvas, half = self.canvas, min(4.0, 0.12 * across)
        tip = up / 2 - min(3.0, 0.06 * up)
        path = canvas.beginPath()
        path.moveTo(0, tip)
        path.lineTo(half, tip - 1.4 * half)
        path.lineTo(-half, tip - 1.4 * half)
        path.close()
        canvas.setFillColor(LINE_GREY)
        canvas.drawPath(path, fill=1, stroke=0)

    def _draw_fold(self, across: float, up: float, fold: Fold) -> None:
        """A dashed line through the middle of the card."""
        self.canvas.setDash(3, 2)
        self.canvas.setLineWidth(0.7)
        if fold is Fold.LEFT:
            self.canvas.line(0, -up / 2, 0, up / 2)
        else:
            self.canvas.line(-across / 2, 0, across / 2, 0)
        self.canvas.setDash()

    # -- edges ---------------------------------------------------------------------------------------------------------

    def name_edges(self) -> None:
        """The four edges by the names that the cut table uses, along the outside of the room for numbers."""
        wide, high = float(self.layout.sheet.width) * self.scale, float(self.layout.sheet.height) * self.scale
        off = RIM - NAME_SIZE
        places = {
            Edge.TOP: (wide / 2, high + off, 0),
            Edge.BOTTOM: (wide / 2, -off - NAME_SIZE * 0.7, 0),
            Edge.LEFT: (-off, high / 2, 90),
            Edge.RIGHT: (wide + off + NAME_SIZE * 0.7, high / 2, 90),
        }
        self.canvas.setFillColor(black)
        self.canvas.setFont(self.bold, NAME_SIZE)
        for edge, (x, y, turn) in places.items():
            self.canvas.saveState()
            self.canvas.translate(x, y)
            self.canvas.rotate(turn)
            self.canvas.drawCentredString(0, 0, edge.upper())
            self.canvas.restoreState()
            half = self.canvas.stringWidth(edge.upper(), self.bold, NAME_SIZE) / 2 + 1
            across, up = (NAME_SIZE, half) if turn else (half, NAME_SIZE)
            self.taken.append((x - across, y - up, x + across, y + up))

    # -- cuts ----------------------------------------------------------------------------------------------------------

    def _draw_cut(self, stroke: Stroke) -> None:
        self.canvas.setStrokeColor(black)
        self.canvas.setLineWidth(CUT_WIDTH)
        for piece in stroke.pieces:
            self.canvas.line(*self._segment(stroke, piece))

    def _segment(self, stroke: Stroke, piece: CutPiece) -> _Rect:
        """The cut through one piece, from its lower or left end to the other."""
        at = float(stroke.line) * self.scale
        left, bottom, right, top = self.on_paper(piece.box)
        return (at, bottom, at, top) if stroke.is_upright else (left, at, right, at)

    def _bubbles(self, strokes: Sequence[Stroke]) -> Iterator[_Bubble]:
        """One number a cut, where it stands clear of the others; outside of the sheet if the way is free."""
        for stroke in strokes:
            wide = self.canvas.stringWidth(str(stroke.number), self.bold, BUBBLE_SIZE) + 4
            for bubble in self._tries(stroke, max(wide, BUBBLE_HIGH)):
                if not any(_overlap(bubble.box, other) for other in self.taken):
                    self.taken.append(bubble.box)
                    yield bubble
                    break

    def _tries(self, stroke: Stroke, wide: float) -> Iterator[_Bubble]:
        """Places for a number: beyond the ends of the cut, then along it, then anywhere on it."""
        outermost = dict.fromkeys((stroke.pieces[0], stroke.pieces[-1]))
        ends = [end for piece in outermost for end in self._ends(stroke, piece)]
        for off in (7.0, 16.5):
            for x, y, step_x, step_y, edge in ends:
                if edge is not None:
                    yield _bubble(stroke, (edge[0] + step_x * off, edge[1] + step_y * off), wide, (x, y))
        for x, y, step_x, step_y, _ in ends:
            for tries in range(2, 60):
                back = -tries * _STEP
                yield _bubble(stroke, (x + step_x * back, y + step_y * back), wide, (x, y))
        x, y, *_ = ends[0]
        yield _bubble(stroke, (x, y), wide, (x, y))

    def _ends(self, stroke: Stroke, piece: CutPiece) -> list[tuple[float, float, int, int, tuple[float, float] | None]]:
        """Both ends of a cut, the way out from there, and the sheet's edge on that way unless a card lies between."""
        left, bottom, right, top = self._segment(stroke, piece)
        wide, high = float(self.layout.sheet.width) * self.scale, float(self.layout.sheet.height) * self.scale
        if stroke.is_upright:
            return [
                (left, top, 0, 1, (left, high) if self._is_free(stroke, top, high) else None),
                (left, bottom, 0, -1, (left, 0.0) if self._is_free(stroke, 0.0, bottom) else None),
            ]
        return [
            (right, top, 1, 0, (wide, top) if self._is_free(stroke, right, wide) else None),
            (left, top, -1, 0, (0.0, top) if self._is_free(stroke, 0.0, left) else None),
        ]

    def _is_free(self, stroke: Stroke, low: float, high: float) -> bool:
        """Whether no card lies on the cut's line between two points of it."""
        at = float(stroke.line) * self.scale
        axis = 0 if stroke.is_upright else 1
        low, high = low + 0.1, high - 0.1
        return not any(
            card[axis] - 0.01 < at < card[axis + 2] + 0.01 and card[1 - axis] < high and low < card[3 - axis]
            for card in self.cards
        )

    def _draw_bubble(self, bubble: _Bubble) -> None:
        canvas = self.canvas
        left, bottom, right, top = bubble.box
        x, y = (left + right) / 2, (bottom + top) / 2
        canvas.setStrokeColor(black)
        canvas.setLineWidth(0.4)
        canvas.line(bubble.end[0], bubble.end[1], x, y)
        canvas.setFillColor(white)
        canvas.roundRect(left, bottom, right - left, top - bottom, (top - bottom) / 2, fill=1)
        canvas.setFillColor(black)
        canvas.setFont(self.bold, BUBBLE_SIZE)
        canvas.drawCentredString(x, y - 0.36 * BUBBLE_SIZE, bubble.text)

    def on_paper(self, box: Box) -> _Rect:
        """A box of the sheet, in points from the sheet's lower left."""
        left, bottom, right, top = (float(value) * self.scale for value in (box.left, box.bottom, box.right, box.top))
        return left, bottom, right, top


def _bubble(stroke: Stroke, middle: tuple[float, float], wide: float, end: tuple[float, float]) -> _Bubble:
    x, y = middle
    box = (x - wide / 2, y - BUBBLE_HIGH / 2, x + wide / 2, y + BUBBLE_HIGH / 2)
    return _Bubble(text=str(stroke.number), box=box, end=end)


def _overlap(one: _Rect, other: _Rect) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
