"""The pictures of the instruction page: a drawing of the sheet with its numbered places, beside it the preview."""

from fractions import Fraction
from io import BytesIO

from PIL import Image
from reportlab.lib.colors import Color, black, white
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from watcher.layout.geometry import Box
from watcher.layout.model import Layout, Place
from watcher.outbox.instruction_words import both_units, inches_to_32nds
from watcher.terms import Edge
from watcher.units import show_mm

PAPER_GREY = Color(0.93, 0.93, 0.93)
LINE_GREY = Color(0.45, 0.45, 0.45)
RIM_SIDE, RIM_ENDS = 58.0, 18.0  # points beside, above and below the sheet, for the measures
LABEL_SIZE = 7.5


class SheetPictures(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """The sketch of the sheet and the preview in one row, as high as the page has room for.

    Args:
        layout: the solved sheet.
        preview_png: the picture beside it, or None.
        font, bold: names of registered fonts.
    """

    LEAST, MOST = 170.0, 260.0  # height in points; with less room the row goes to the next page

    def __init__(self, layout: Layout, preview_png: bytes | None, font: str, bold: str) -> None:
        super().__init__()
        self.layout, self.preview_png, self.fonts = layout, preview_png, (font, bold)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Take what is left of the page; called by reportlab."""
        self.width = width
        self.height = min(height, self.MOST) if height >= self.LEAST else self.MOST
        return self.width, self.height

    def draw(self) -> None:
        """Paint both; called by reportlab with the origin at the lower left."""
        room = 0.5 * self.width if self.preview_png else self.width
        sketch = SheetSketch(self.canv, self.layout, (room, self.height), self.fonts)
        sketch.draw((0.0, self.height - sketch.height))
        if self.preview_png:
            left = sketch.width + 8
            _draw_picture(self.canv, self.preview_png, (left, 0.0, self.width - left, self.height))


def _draw_picture(canvas: Canvas, png: bytes, room: tuple[float, float, float, float]) -> None:
    """The picture as large as `room` (left, bottom, width, height) allows, kept as JPEG: a fraction of the bytes."""
    left, bottom, width, height = room
    jpeg = BytesIO()
    with Image.open(BytesIO(png)) as picture:
        scale = min(width / picture.width, height / picture.height)
        wide, high = picture.width * scale, picture.height * scale
        picture.convert("RGB").save(jpeg, "JPEG", quality=90, subsampling=0)
    jpeg.seek(0)
    canvas.drawImage(ImageReader(jpeg), left, bottom + (height - high) / 2, wide, high)


class SheetSketch:
    """The front of the sheet to scale with its numbered places and the distance of the first trims from its edges.

    Args:
        canvas: drawn on.
        layout: the solved sheet.
        room: greatest width and height with the measures, points.
        fonts: names of the plain and the bold font.
    """

    def __init__(self, canvas: Canvas, layout: Layout, room: tuple[float, float], fonts: tuple[str, str]) -> None:
        self.canvas, self.layout = canvas, layout
        self.font, self.bold = fonts
        wide, high = float(layout.sheet.width), float(layout.sheet.height)
        self.scale = min((room[0] - 2 * RIM_SIDE) / wide, (room[1] - 2 * RIM_ENDS) / high)
        self.width, self.height = wide * self.scale + 2 * RIM_SIDE, high * self.scale + 2 * RIM_ENDS

    def draw(self, origin: tuple[float, float]) -> None:
        """Paint sheet, places and measures, the lower left of it all at `origin`."""
        canvas, sheet = self.canvas, self.layout.sheet
        canvas.translate(origin[0] + RIM_SIDE, origin[1] + RIM_ENDS)
        canvas.setLineWidth(0.8)
        canvas.setStrokeColor(black)
        canvas.setFillColor(PAPER_GREY)
        canvas.rect(0, 0, float(sheet.width) * self.scale, float(sheet.height) * self.scale, fill=1)
        for place in self.layout.places:
            self._draw_place(place)
        for edge, distance in first_trims(self.layout).items():
            self._draw_measure(edge, distance)
        canvas.translate(-origin[0] - RIM_SIDE, -origin[1] - RIM_ENDS)

    def _draw_place(self, place: Place) -> None:
        left, bottom, right, top = self._on_paper(place.front.trim)
        canvas = self.canvas
        canvas.setFillColor(white)
        canvas.rect(left, bottom, right - left, top - bottom, fill=1)
        canvas.saveState()
        canvas.translate((left + right) / 2, (bottom + top) / 2)
        canvas.rotate(int(place.front.turn))
        across, up = (top - bottom, right - left) if place.front.turn.swaps_sides else (right - left, top - bottom)
        self._draw_head(across, up)
        canvas.restoreState()
        size = max(6.0, min(18.0, 0.35 * min(right - left, top - bottom)))
        canvas.setFillColor(black)
        canvas.setFont(self.bold, size)
        canvas.drawCentredString((left + right) / 2, (bottom + top) / 2 - 0.36 * size, str(place.number))

    def _draw_head(self, across: float, up: float) -> None:
        """A small triangle inside the card's top edge; the origin is the card's centre, y to its top."""
        canvas, half = self.canvas, min(5.0, 0.12 * across)
        tip = up / 2 - min(3.0, 0.06 * up)
        path = canvas.beginPath()
        path.moveTo(0, tip)
        path.lineTo(half, tip - 1.4 * half)
        path.lineTo(-half, tip - 1.4 * half)
        path.close()
        canvas.setFillColor(LINE_GREY)
        canvas.drawPath(path, fill=1, stroke=0)

    def _draw_measure(self, edge: Edge, distance: Fraction) -> None:
        """A line from the sheet's edge to the first trim, and the distance beside the sheet."""
        canvas, sheet = self.canvas, self.layout.sheet
        wide, high, far = (float(value) * self.scale for value in (sheet.width, sheet.height, distance))
        outline = self._on_paper(Box.around([place.front.trim for place in self.layout.places]))
        middle_x, middle_y = (outline[0] + outline[2]) / 2, (outline[1] + outline[3]) / 2
        ends = {
            Edge.TOP: (middle_x, high - far, middle_x, high),
            Edge.RIGHT: (wide - far, middle_y, wide, middle_y),
            Edge.BOTTOM: (middle_x, 0, middle_x, far),
            Edge.LEFT: (0, middle_y, far, middle_y),
        }
        canvas.setStrokeColor(black)
        canvas.setLineWidth(1.2)
        canvas.line(*ends[edge])
        canvas.setFillColor(black)
        canvas.setFont(self.font, LABEL_SIZE)
        if edge in (Edge.TOP, Edge.BOTTOM):
            canvas.drawCentredString(middle_x, high + 5 if edge is Edge.TOP else -LABEL_SIZE - 4, both_units(distance))
            return
        write, x = (canvas.drawRightString, -4) if edge is Edge.LEFT else (canvas.drawString, wide + 4)
        write(x, middle_y + 1.5, f"{show_mm(distance)} mm")
        write(x, middle_y - LABEL_SIZE, inches_to_32nds(distance))

    def _on_paper(self, box: Box) -> tuple[float, float, float, float]:
        left, bottom, right, top = (float(value) * self.scale for value in (box.left, box.bottom, box.right, box.top))
        return left, bottom, right, top


def first_trims(layout: Layout) -> dict[Edge, Fraction]:
    """How far the outermost trims lie from each edge of the sheet, front up; mm."""
    outline = Box.around([place.front.trim for place in layout.places])
    return {
        Edge.TOP: layout.sheet.height - outline.top,
        Edge.RIGHT: layout.sheet.width - outline.right,
        Edge.BOTTOM: outline.bottom,
        Edge.LEFT: outline.left,
    }


def trim_lines(layout: Layout) -> tuple[tuple[Fraction, ...], tuple[Fraction, ...]]:
    """Where trims begin and end: distances from the sheet's left edge, and from its bottom edge; rising, mm."""
    boxes = [place.front.trim for place in layout.places]
    across = {value for box in boxes for value in (box.left, box.right)}
    upward = {value for box in boxes for value in (box.bottom, box.top)}
    return tuple(sorted(across)), tuple(sorted(upward))
