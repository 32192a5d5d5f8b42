"""The drawing of a sheet that orders share: each place with its number and the name of its order."""

from collections.abc import Sequence

from reportlab.lib.colors import Color, black, white

from watcher.instructions.sheet_sketch import (
    CARD_WIDTH,
    LINE_GREY,
    NAME_SIZE,
    PAPER_GREY,
    RIM,
    SheetSketch,
    SketchOfSheet,
)
from watcher.instructions.style import printable
from watcher.layout.gang.places import OrderPlaces
from watcher.layout.model import Layout, Place

SHADES = tuple(Color(level, level, level) for level in (1.0, 0.86, 0.94, 0.78, 0.9, 0.82))
LARGEST, SMALLEST = 12.0, 4.5  # type of the names, points
_PADDING = 3.0


class GangDrawing(SketchOfSheet):
    """The sketch as a part of the page.

    Args:
        layout: the solved sheet.
        owned: the places of each order.
        names: of the orders, by number.
        room: greatest width and height, points.
        fonts: names of the plain and the bold font, registered.
    """

    def __init__(
        self,
        layout: Layout,
        owned: Sequence[OrderPlaces],
        names: Sequence[str],
        room: tuple[float, float],
        fonts: tuple[str, str],
    ) -> None:
        super().__init__(layout, room, fonts)
        self.owners = {number: one.order for one in owned for number in one.places}
        self.shades = {one.order: SHADES[one.order % len(SHADES)] for one in owned}
        self.names = [printable(name, fonts[1]) for name in names]

    def draw(self) -> None:
        """Paint it; called by reportlab with the origin at the lower left."""
        canvas, sheet = self.canv, self.layout.sheet
        canvas.saveState()
        canvas.translate(RIM, RIM)
        canvas.setLineWidth(0.8)
        canvas.setStrokeColor(black)
        canvas.setFillColor(PAPER_GREY)
        canvas.rect(0, 0, float(sheet.width) * self.scale, float(sheet.height) * self.scale, fill=1)
        sketch = SheetSketch(canvas, self.layout, self.scale, self.fonts)
        for place in self.layout.places:
            self._draw_place(sketch, place)
        sketch.name_edges()
        canvas.restoreState()

    def _draw_place(self, sketch: SheetSketch, place: Place) -> None:
        left, bottom, right, top = sketch.on_paper(place.front.trim)
        canvas, owner = self.canv, self.owners.get(place.number)
        canvas.setFillColor(PAPER_GREY if owner is None else self.shades[owner])
        canvas.setStrokeColor(black)
        canvas.setLineWidth(CARD_WIDTH)
        canvas.rect(left, bottom, right - left, top - bottom, fill=1)
        if owner is None:
            canvas.line(left, bottom, right, top)
            canvas.line(left, top, right, bottom)
        else:
            sketch.draw_head_of(place)
            self._write(self.names[owner], (left, bottom, right, top))
        canvas.setFillColor(LINE_GREY if owner is not None else white)
        canvas.setFont(self.fonts[1], NAME_SIZE)
        canvas.drawString(left + 2, top - NAME_SIZE, str(place.number))

    def _write(self, name: str, box: tuple[float, float, float, float]) -> None:
        """The name in the middle, along the longer side of the place, as large as it goes."""
        canvas, bold = self.canv, self.fonts[1]
        left, bottom, right, top = box
        stands = top - bottom > right - left
        length = max(top - bottom, right - left) - 2 * _PADDING
        size = LARGEST
        while size > SMALLEST and canvas.stringWidth(name, bold, size) > length:
            size -= 0.5
        kept = len(name)
        shown = name
        while kept > 1 and canvas.stringWidth(shown, bold, size) > length:
            kept -= 1
            shown = f"{name[:kept].rstrip()}\N{HORIZONTAL ELLIPSIS}"
        canvas.saveState()
        canvas.translate((left + right) / 2, (bottom + top) / 2)
        canvas.rotate(90 if stands else 0)
        canvas.setFillColor(black)
        canvas.setFont(bold, size)
        canvas.drawCentredString(0, -0.36 * size, shown)
        canvas.restoreState()
