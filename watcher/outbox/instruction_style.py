"""The look of the instruction page: its embedded fonts, its styles, the foot of each page."""

from functools import lru_cache
from pathlib import Path
from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from watcher.sheet.lettering import register_font

FONTS = Path(__file__).parent.parent / "sheet" / "fonts"
SANS, BOLD = "InstructionSans", "InstructionSansBold"
MARGIN = 34.0  # points; more than any printer's rim
NO_GLYPH, NO_BREAK = "\N{REPLACEMENT CHARACTER}", "\N{NO-BREAK SPACE}"


# A table that shows nothing of itself: cells from the top, without padding.
BARE = (
    ("FONTNAME", (0, 0), (-1, -1), SANS),  # else the page names a font that is not in the file
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
)


class _Measured(Paragraph):  # type: ignore[misc]  # reportlab ships no types
    """A paragraph that keeps its lines: tables ask for them three times, and the next order has most of them too."""

    _known: tuple[float, tuple[float, float]] | None = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size at a width; called by reportlab."""
        if self._known is None or self._known[0] != width or not hasattr(self, "blPara"):  # splitting forgets them
            self._known = width, super().wrap(width, height)
        return self._known[1]


@lru_cache(maxsize=512)  # most of what the pages say is the same from order to order
def paragraph(marked_up: str, style: str, bullet: str | None = None) -> Paragraph:
    """A paragraph in one of the page's styles; words too long for the line are broken."""
    used = _styles()[style]
    return _Measured(printable(marked_up, used.fontName), used, bulletText=bullet)


def printable(text: str, font: str) -> str:
    """The text with a replacement character for what the font lacks and for what is no letter (controls)."""
    glyphs = pdfmetrics.getFont(font).face.charToGlyph
    return "".join(
        letter if ord(letter) in glyphs and (letter.isprintable() or letter == NO_BREAK) else NO_GLYPH
        for letter in text
    )


@lru_cache(maxsize=1)
def _styles() -> dict[str, ParagraphStyle]:
    body = ParagraphStyle("body", fontName=SANS, fontSize=9.6, leading=12.6, textColor=black)
    changes: dict[str, dict[str, Any]] = {
        "body": {},
        "title": {"fontName": BOLD, "fontSize": 19, "leading": 23},
        "count": {"fontName": BOLD, "fontSize": 15, "leading": 19, "spaceAfter": 2},
        "boxed": {"borderWidth": 0.8, "borderColor": black, "borderPadding": 3, "spaceBefore": 7, "spaceAfter": 3},
        "label": {"fontName": BOLD},
        "step": {"leftIndent": 18, "spaceBefore": 3, "bulletFontName": BOLD, "bulletFontSize": 11},
        "listed": {"leftIndent": 10, "spaceBefore": 1},
        "head": {"fontName": BOLD, "fontSize": 11, "leading": 14, "spaceBefore": 6},
        "caption": {"fontSize": 8, "leading": 10, "spaceBefore": 6},
        "small": {"fontSize": 8.4, "leading": 10.6},
        "cell": {"fontSize": 8, "leading": 9.6},
        "large cell": {"fontSize": 9.2, "leading": 11},
        "after": {"fontSize": 8.4, "leading": 10.6, "spaceBefore": 2},
        "boxed small": {
            "fontSize": 8,
            "leading": 10,
            "borderWidth": 0.8,
            "borderColor": black,
            "borderPadding": 3,
            "spaceBefore": 6,
            "spaceAfter": 5,
        },
        "cell head": {"fontName": BOLD, "fontSize": 7.2, "leading": 9},
    }
    return {name: ParagraphStyle(name, parent=body, **change) for name, change in changes.items()}


@lru_cache(maxsize=1)
def register_fonts() -> None:
    """Once a process: reading a font file costs more than writing the page."""
    register_font(SANS, FONTS / "DejaVuSans.ttf")
    register_font(BOLD, FONTS / "DejaVuSans-Bold.ttf")
    pdfmetrics.registerFontFamily(SANS, normal=SANS, bold=BOLD, italic=SANS, boldItalic=BOLD)


class NumberedPages(Canvas):  # type: ignore[misc]  # reportlab ships no types
    """A canvas that knows, when it writes a page's foot, how many pages there are."""

    def __init__(self, *args: Any, foot: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._foot = foot
        self._kept: list[dict[str, Any]] = []

    def showPage(self) -> None:
        """Keep the page until the last one is there."""
        self._kept.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Write all pages, each with its foot."""
        for number, page in enumerate(self._kept, start=1):
            self.__dict__.update(page)
            self.setFont(SANS, 8)
            end = f", page {number} of {len(self._kept)}"
            room = self._pagesize[0] - 2 * MARGIN - self.stringWidth(end)
            self.drawRightString(self._pagesize[0] - MARGIN, MARGIN / 2, f"{self._shortened(room)}{end}")
            super().showPage()
        super().save()

    def _shortened(self, room: float) -> str:
        """The foot's text, its middle left out where it is longer than `room` points."""
        text, kept = self._foot, len(self._foot)
        while self.stringWidth(text) > room:
            kept -= 2
            text = f"{self._foot[: kept // 2]}...{self._foot[len(self._foot) - kept // 2 :]}"
        return text
