"""How the sheet is turned for its second side, drawn: by the printer, or by a person who puts the stack back in."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from reportlab.lib.colors import Color, black, white
from reportlab.platypus import Flowable

from watcher.layout.backs import turns_about_vertical_axis
from watcher.layout.geometry import Size
from watcher.terms import Edge, Flip

_WORDS = re.compile(r"printed side (up|down), (top|right|bottom|left) edge first\.?", re.IGNORECASE)
_TURNS = {Edge.TOP: 0, Edge.LEFT: -90, Edge.BOTTOM: 180, Edge.RIGHT: 90}  # brings that edge of the front upwards
_BLANK = Color(0.88, 0.88, 0.88)
_PRINTER_HIGH, _ARROW_HIGH, _CAPTION, _FOOT = 15.0, 15.0, 8.0, 13.0
_SHARE = 0.38  # of the width, for each of the two sheets
_BEYOND = 5.0  # how far the line on which the sheet turns reaches beyond it


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


@dataclass(frozen=True, kw_only=True)
class Turning:
    """How a sheet is turned between front and back.

    Attributes:
        flip: the edge on which it turns.
        by_hand: whether a person puts the stack back in.
        reload: how, where the turn test has settled it.
        has_own_words: whether the shop has its own words for that, which stand beside the drawing.
    """

    flip: Flip
    by_hand: bool = False
    reload: Reload | None = None
    has_own_words: bool = False


class TurningDrawing(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """Left the printed front with the line on which it turns; right what it looks like then, at the printer.

    Args:
        turning: how it is turned.
        sheet: the whole sheet, mm.
        room: width and height in points.
        fonts: names of the plain and the bold font, registered.
    """

    def __init__(self, turning: Turning, sheet: Size, room: tuple[float, float], fonts: tuple[str, str]) -> None:
        super().__init__()
        self.turning, self.sheet, self.fonts = turning, sheet, fonts
        self.width, self.height = room

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size, whatever there is; called by reportlab."""
        return self.width, self.height

    def draw(self) -> None:
        """Paint it; called by reportlab with the origin at the lower left."""
        ceiling = self.height - (_PRINTER_HIGH + _ARROW_HIGH + 4 if self.turning.by_hand else 2 * _BEYOND)
        room, turned = ceiling - _FOOT - _BEYOND, self._is_turned
        wide, high = float(self.sheet.width), float(self.sheet.height)
        across, up = (high, wide) if turned else (wide, high)
        scale = min(_SHARE * self.width / max(wide, across), room / max(high, up))
        self.canv.setStrokeColor(black)
        left, right = self.width * _SHARE / 2 + _BEYOND, self.width * (1 - _SHARE / 2) - _BEYOND
        self._at(left, ceiling - high * scale / 2, lambda: self._draw_front(wide * scale, high * scale))
        self._at(right, ceiling - up * scale / 2, lambda: self._draw_second(across * scale, up * scale))
        self._draw_arrow((left + right) / 2 - 7, ceiling - min(high, up) * scale / 2, 14, along=True)
        if self.turning.by_hand:
            self._draw_printer(right, ceiling + _ARROW_HIGH)
            self._draw_arrow(right, ceiling + 1.5, _ARROW_HIGH - 3)
        self._say(left, 2, "fronts" if self.turning.by_hand else "front", self.fonts[0])
        self._say(right, 2, self._foot, self.fonts[1])

    @property
    def _is_turned(self) -> bool:
        reload = self.turning.reload
        return reload is not None and reload.lead in (Edge.LEFT, Edge.RIGHT)

    @property
    def _foot(self) -> str:
        reload = self.turning.reload
        if reload is not None:
            return f"printed side {'UP' if reload.printed_up else 'DOWN'}"
        if self.turning.has_own_words:
            return "as told here"
        return "try it first" if self.turning.by_hand else f"on its {self.turning.flip.words}"

    def _at(self, x: float, y: float, draw: Callable[[], None]) -> None:
        self.canv.saveState()
        self.canv.translate(x, y)
        draw()
        self.canv.restoreState()

    def _say(self, x: float, y: float, words: str, font: str, size: float = _CAPTION) -> None:
        self.canv.setFillColor(black)
        self.canv.setFont(font, size)
        self.canv.drawCentredString(x, y, words)

    def _draw_paper(self, wide: float, high: float, *, printed: bool) -> None:
        self.canv.setFillColor(white if printed else _BLANK)
        self.canv.setLineWidth(0.8)
        self.canv.rect(-wide / 2, -high / 2, wide, high, fill=1)

    def _draw_front(self, wide: float, high: float) -> None:
        """The printed front about the origin, and how it is turned over where its way back in is not known."""
        self._draw_paper(wide, high, printed=True)
        if self.turning.reload is None and not self.turning.has_own_words:
            self._draw_turn(wide, high)
        for y, words, font, size in (
            (high / 2 - 9, "TOP", self.fonts[0], 7),
            (-high / 2 + 7, "FRONT", self.fonts[1], 10),
        ):
            clear = self.canv.stringWidth(words, font, size) / 2 + 1
            self.canv.setFillColor(white)
            self.canv.rect(-clear, y - 1, 2 * clear, size, stroke=0, fill=1)
            self._say(0, y, words, font, size)

    def _draw_turn(self, wide: float, high: float) -> None:
        """A dashed line along the edge on which it turns, through the middle, and a bent arrow across."""
        canvas = self.canv
        upright = turns_about_vertical_axis(self.sheet, self.turning.flip)
        half = (high if upright else wide) / 2 + _BEYOND
        reach = min(0.34 * (wide if upright else high), 20.0)
        canvas.saveState()
        canvas.rotate(0 if upright else 90)
        canvas.setDash(3, 2)
        canvas.setLineWidth(0.7)
        canvas.line(0, -half, 0, half)
        canvas.setDash()
        canvas.setLineWidth(1.8)
        path = canvas.beginPath()
        path.moveTo(-reach, -3)
        path.curveTo(-reach, 13, reach, 13, reach, 1)
        canvas.drawPath(path, fill=0, stroke=1)
        path = canvas.beginPath()
        for step, point in enumerate(((reach, -6), (reach - 4.5, 2), (reach + 4.5, 2))):
            (path.lineTo if step else path.moveTo)(*point)
        path.close()
        canvas.setFillColor(black)
        canvas.drawPath(path, fill=1, stroke=0)
        canvas.restoreState()

    def _draw_second(self, wide: float, high: float) -> None:
        """The sheet about the origin as it is then: its front when that is up, else its blank back, grey."""
        reload = self.turning.reload
        self._draw_paper(wide, high, printed=reload is not None and reload.printed_up)
        if reload is None:
            self._draw_turned_over(high)
            return
        size = min(_CAPTION, wide / 7)  # of words as wide as the sheet
        self._say(0, high / 2 - 10, f"{reload.lead.upper()} edge", self.fonts[1], size)
        self._say(0, high / 2 - 19, "first", self.fonts[1], size)
        if not reload.printed_up:
            self._say(0, -high / 4, "blank side", self.fonts[0], size)
            return
        self.canv.saveState()
        self.canv.translate(0, -11)  # clear of the words above
        self.canv.rotate(_TURNS[reload.lead])
        self._say(0, -4, "FRONT", self.fonts[1], 10)
        self.canv.restoreState()

    def _draw_turned_over(self, high: float) -> None:
        if self.turning.by_hand:
            self._say(0, -8, "?", self.fonts[1], 26)
            return
        head = turns_about_vertical_axis(self.sheet, self.turning.flip)
        self._say(0, -4, "BACK", self.fonts[1], 10)
        at = high / 2 - 9 if head else -high / 2 + 4
        self._say(0, at, "the front's top", self.fonts[0], 5.5)

    def _draw_printer(self, middle: float, bottom: float) -> None:
        canvas, wide = self.canv, self.width * _SHARE + 2 * _BEYOND
        canvas.setLineWidth(1)
        canvas.setFillColor(white)
        canvas.roundRect(middle - wide / 2, bottom, wide, _PRINTER_HIGH - 1, 3, fill=1)
        self._say(middle, bottom + 4, "PRINTER", self.fonts[1])

    def _draw_arrow(self, x: float, y: float, length: float, *, along: bool = False) -> None:
        """A thick arrow from a point upwards, or along the line."""
        canvas = self.canv
        canvas.saveState()
        canvas.translate(x, y)
        canvas.rotate(-90 if along else 0)
        path = canvas.beginPath()
        path.moveTo(0, length)
        for point in ((6, length - 6), (2.2, length - 6), (2.2, 0), (-2.2, 0), (-2.2, length - 6), (-6, length - 6)):
            path.lineTo(*point)
        path.close()
        canvas.setFillColor(black)
        canvas.drawPath(path, fill=1, stroke=0)
        canvas.restoreState()
