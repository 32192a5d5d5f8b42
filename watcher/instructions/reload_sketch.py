"""How the stack goes back into the printer for its second side, drawn: which face is up, which edge goes in first."""

import re
from dataclasses import dataclass

from reportlab.lib.colors import Color, black, white
from reportlab.platypus import Flowable

from watcher.layout.geometry import Size
from watcher.terms import Edge

_WORDS = re.compile(r"printed side (up|down), (top|right|bottom|left) edge first\.?", re.IGNORECASE)
_TURNS = {Edge.TOP: 0, Edge.LEFT: -90, Edge.BOTTOM: 180, Edge.RIGHT: 90}  # brings that edge of the front upwards
_BLANK = Color(0.86, 0.86, 0.86)
_PRINTER_HIGH, _CAPTION, _GAP = 16.0, 8.0, 15.0


@dataclass(frozen=True, kw_only=True)
class Reload:
    """How the stack goes back in.

    Attributes:
        printed_up: whether the printed side can be seen.
        lead: the edge of the front that goes in first.
    """

    printed_up: bool
    lead: Edge


def read_reload(words: str | None) -> Reload | None:
    """Read how the stack goes back in from the words of the turn test; None for other words, or none."""
    found = _WORDS.fullmatch(" ".join((words or "").split()))
    return Reload(printed_up=found[1].lower() == "up", lead=Edge(found[2].lower())) if found else None


class ReloadDrawing(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """The printer above, the sheet below it as it lies there, and an arrow between.

    Args:
        reload: how it lies.
        sheet: the whole sheet, mm.
        room: width and height in points.
        fonts: names of the plain and the bold font, registered.
    """

    def __init__(self, reload: Reload, sheet: Size, room: tuple[float, float], fonts: tuple[str, str]) -> None:
        super().__init__()
        self.reload, self.sheet, self.fonts = reload, sheet, fonts
        self.width, self.height = room

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size, whatever there is; called by reportlab."""
        return self.width, self.height

    def draw(self) -> None:
        """Paint it; called by reportlab with the origin at the lower left."""
        canvas, middle = self.canv, self.width / 2
        self._draw_printer(self.height - _PRINTER_HIGH)
        floor, ceiling = 2 * _CAPTION + 6, self.height - _PRINTER_HIGH - _GAP
        turned = self.reload.lead in (Edge.LEFT, Edge.RIGHT)
        wide, high = float(self.sheet.width), float(self.sheet.height)
        across, up = (high, wide) if turned else (wide, high)
        scale = min(self.width * 0.8 / across, (ceiling - floor) / up)
        self._draw_arrow(middle, ceiling + 1.5, ceiling + _GAP - 1.5)
        canvas.saveState()
        canvas.translate(middle, ceiling - up * scale / 2)
        self._draw_sheet(wide * scale, high * scale, across * scale, up * scale)
        canvas.restoreState()
        canvas.setFillColor(black)
        face = "UP" if self.reload.printed_up else "DOWN"
        for height, font, said in (
            (_CAPTION + 3, self.fonts[1], f"printed side {face}"),
            (1, self.fonts[0], "(seen from above)"),
        ):
            canvas.setFont(font, _CAPTION)
            canvas.drawCentredString(middle, height, said)

    def _draw_printer(self, bottom: float) -> None:
        canvas = self.canv
        canvas.setStrokeColor(black)
        canvas.setLineWidth(1)
        canvas.setFillColor(white)
        canvas.roundRect(self.width * 0.05, bottom, self.width * 0.9, _PRINTER_HIGH - 1, 3, fill=1)
        canvas.setFillColor(black)
        canvas.setFont(self.fonts[1], 8)
        canvas.drawCentredString(self.width / 2, bottom + 5, "PRINTER")

    def _draw_arrow(self, x: float, bottom: float, top: float) -> None:
        canvas = self.canv
        canvas.setFillColor(black)
        path = canvas.beginPath()
        path.moveTo(x, top)
        path.lineTo(x + 7, top - 7)
        path.lineTo(x + 2.5, top - 7)
        path.lineTo(x + 2.5, bottom)
        path.lineTo(x - 2.5, bottom)
        path.lineTo(x - 2.5, top - 7)
        path.lineTo(x - 7, top - 7)
        path.close()
        canvas.drawPath(path, fill=1, stroke=0)

    def _draw_sheet(self, wide: float, high: float, across: float, up: float) -> None:
        """The sheet about the origin: its front with its words when that is up, else its blank back, grey."""
        canvas = self.canv
        canvas.setFillColor(white if self.reload.printed_up else _BLANK)
        canvas.setLineWidth(0.8)
        canvas.rect(-across / 2, -up / 2, across, up, fill=1)
        canvas.setFillColor(black)
        canvas.setFont(self.fonts[1], 8)
        canvas.drawCentredString(0, up / 2 - 10, f"{self.reload.lead.upper()} edge")
        canvas.drawCentredString(0, up / 2 - 19, "first")
        if not self.reload.printed_up:
            canvas.setFont(self.fonts[0], 8)
            canvas.drawCentredString(0, -10, "blank side")
            return
        canvas.saveState()
        canvas.translate(0, -11)  # clear of the words above
        canvas.rotate(_TURNS[self.reload.lead])
        canvas.setFont(self.fonts[1], 11)
        canvas.drawCentredString(0, -4, "FRONT")
        canvas.restoreState()
