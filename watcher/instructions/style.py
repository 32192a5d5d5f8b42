"""Fonts, styles and page foot of the instructions."""

from collections.abc import Callable, Sequence
from functools import lru_cache, partial
from io import BytesIO
from pathlib import Path
from typing import Any, ClassVar

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph, Table

from watcher.sheet.draw.lettering import register_font

FONTS = Path(__file__).parent.parent / "sheet" / "fonts"
SANS, BOLD = "InstructionSans", "InstructionSansBold"
MARGIN = 34.0  # points; more than any printer's rim
TITLE_SIZES, LARGE_SIZES = (24, 19, 15), (21, 18, 15, 12)  # points, from the largest
USUAL = "\u2026\u00b7\u00d7\u2013\u2248"  # besides ASCII
_ENDLESS = 1e6
_KEPT_SPLITS = 8  # of one part, at as many heights
NO_GLYPH, NO_BREAK = "\N{REPLACEMENT CHARACTER}", "\N{NO-BREAK SPACE}"


Operators = tuple[str, ...]  # of a page's contents


# A table that shows nothing of itself: cells from the top, without padding.
BARE = (
    ("FONTNAME", (0, 0), (-1, -1), SANS),  # else the page names a font that is not in the file
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
)


class _Shared:
    """A part that stands in many documents.

    reportlab notes on a part that it was put off to the next page, and takes it for too large the second time. That
    note counts in one document alone.
    """

    document: ClassVar[object] = None  # the one that is set now
    _put_off_in: object = None

    @property
    def _postponed(self) -> int:
        if self._put_off_in is None or self._put_off_in is not _Shared.document:
            raise AttributeError
        return 1

    @_postponed.setter
    def _postponed(self, _: int) -> None:
        self._put_off_in = _Shared.document


class _Kept(_Shared, Paragraph):  # type: ignore[misc]  # reportlab ships no types
    """A paragraph that keeps its lines: tables ask for them three times, and the next order has most of them too."""

    _size: tuple[float, tuple[float, float]] | None = None
    _said: tuple[float, Operators] | None = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size at a width; called by reportlab."""
        if self._size is None or self._size[0] != width or not hasattr(self, "blPara"):  # splitting forgets them
            self._size = width, super().wrap(width, height)
        return self._size[1]

    def draw(self) -> None:
        """Called by reportlab."""
        if self._said is not None and self._size is not None and self._said[0] == self._size[0]:
            self.canv.say(self._said[1])
        else:
            said = self.canv.said(super().draw)
            self._said = None if said is None or self._size is None else (self._size[0], said)


class KeptPart(_Shared, Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A part of the page that is the same from order to order, with its size and what it draws; for `NumberedPages`.

    Args:
        part: a table or a drawing.
    """

    def __init__(self, part: Flowable) -> None:
        super().__init__()
        self._part = part
        self.hAlign, self.spaceBefore, self.spaceAfter = part.hAlign, part.getSpaceBefore(), part.getSpaceAfter()
        self._sizes: dict[float, tuple[float, float]] = {}
        self._said: dict[float, Operators] = {}
        self._pieces: dict[tuple[float, float], list[KeptPart]] = {}
        self._wrapped_to = 0.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size at a width; called by reportlab."""
        if width not in self._sizes:
            self._sizes[width] = self._part.wrapOn(self.canv, width, height)
        self._wrapped_to, (self.width, self.height) = width, self._sizes[width]
        return self._sizes[width]

    def split(self, width: float, height: float) -> "list[KeptPart]":
        """Its pieces, where it is too high; called by reportlab."""
        if (width, height) not in self._pieces:
            if len(self._pieces) >= _KEPT_SPLITS:
                self._pieces.clear()
            self._pieces[width, height] = [KeptPart(piece) for piece in self._part.splitOn(self.canv, width, height)]
        return self._pieces[width, height]

    def draw(self) -> None:
        """Called by reportlab."""
        if self._wrapped_to in self._said:
            self.canv.say(self._said[self._wrapped_to])
            return
        said = self.canv.said(partial(self._part.drawOn, self.canv, 0, 0))
        if said is not None:
            self._said[self._wrapped_to] = said


@lru_cache(maxsize=512)  # most of what the pages say is the same from order to order
def paragraph(marked_up: str, style: str, bullet: str | None = None) -> Paragraph:
    """A paragraph in one of the page's styles; words too long for the line are broken."""
    used = _styles()[style]
    return _Kept(printable(marked_up, used.fontName), used, bulletText=bullet)


def fitted(marked_up: str, sizes: Sequence[int], kind: str, width: float, lines: int) -> Paragraph:
    """A paragraph in the largest of some sizes of a style in which it takes no more than so many lines."""
    for size in sizes:
        set_in = paragraph(marked_up, f"{kind} {size}")
        if set_in.wrap(width, _ENDLESS)[1] <= lines * set_in.style.leading:
            break
    return set_in


def heading(text: str, width: float) -> Flowable:
    """The head of a section, under a line across the page."""
    line = ("LINEABOVE", (0, 0), (-1, 0), 1.4, black)
    above = ("TOPPADDING", (0, 0), (-1, -1), 3)
    return Table([[paragraph(text, "head")]], colWidths=[width], style=[*BARE, line, above], spaceBefore=7)


def boxed(parts: Sequence[Flowable], width: float) -> Flowable:
    """Parts of a page in a box as wide as `width` points."""
    style = [*BARE, ("BOX", (0, 0), (-1, -1), 0.8, black)]
    style += [(f"{side}PADDING", (0, 0), (-1, -1), 4.5) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    return Table([[list(parts)]], colWidths=[width], style=style, spaceBefore=4, spaceAfter=5)


def height_of(parts: Sequence[Flowable], width: float) -> float:
    """The height of parts of a page that stand below each other, points; as a frame sets them."""
    canvas, height, after = Canvas(BytesIO()), 0.0, 0.0
    for number, part in enumerate(parts):
        before = part.getSpaceBefore() if number else 0.0
        height += max(before, after) + part.wrapOn(canvas, width, _ENDLESS)[1]
        after = part.getSpaceAfter()
    return height


def printable(text: str, font: str) -> str:
    """The text with a replacement character for what the font lacks and for what is no letter (controls)."""
    glyphs = pdfmetrics.getFont(font).face.charToGlyph
    return "".join(
        letter if ord(letter) in glyphs and (letter.isprintable() or letter == NO_BREAK) else NO_GLYPH
        for letter in text
    )


@lru_cache(maxsize=1)
def _styles() -> dict[str, ParagraphStyle]:
    body = ParagraphStyle("body", fontName=SANS, fontSize=9.6, leading=12.2, textColor=black)
    step = {"leftIndent": 18, "spaceBefore": 2.5, "bulletFontName": BOLD, "bulletFontSize": 11}
    changes: dict[str, dict[str, Any]] = {
        "body": {},
        **{f"title {size}": {"fontName": BOLD, "fontSize": size, "leading": 1.18 * size} for size in TITLE_SIZES},
        **{f"large {size}": {"fontName": BOLD, "fontSize": size, "leading": 1.18 * size} for size in LARGE_SIZES},
        "under title": {"fontSize": 11, "leading": 14},
        "tile label": {"fontName": BOLD, "fontSize": 8, "leading": 10},
        "tile": {"fontSize": 10, "leading": 12.4},
        "due": {"fontName": BOLD, "fontSize": 13, "leading": 16},
        "label": {"fontName": BOLD},
        "tight": {"fontSize": 8.8, "leading": 11},
        "body step": step,
        "tight step": {**step, "fontSize": 8.8, "leading": 11},
        "listed": {"spaceBefore": 1.5},
        "small listed": {"fontSize": 8.4, "leading": 10.4, "spaceBefore": 1.5},
        "head": {"fontName": BOLD, "fontSize": 12.5, "leading": 15},
        "small head": {"fontName": BOLD, "fontSize": 9.6, "leading": 12.2, "spaceBefore": 5},
        "caption": {"fontSize": 7.6, "leading": 9.4, "spaceBefore": 2},
        "how": {"fontSize": 8.4, "leading": 10.4, "spaceAfter": 4},
        "small": {"fontSize": 8, "leading": 10},
        "cell": {"fontSize": 8, "leading": 9.4},
        "large cell": {"fontSize": 9.4, "leading": 11.2},
        "after": {"fontSize": 8.8, "leading": 11, "spaceBefore": 2},
        "cell head": {"fontName": BOLD, "fontSize": 7.2, "leading": 9},
    }
    return {name: ParagraphStyle(name, parent=body, **change) for name, change in changes.items()}


@lru_cache(maxsize=1)
def register_fonts() -> None:
    """Once a process: reading a font file costs more than writing the page."""
    register_font(SANS, FONTS / "DejaVuSans.ttf", ascii_whole=True)
    register_font(BOLD, FONTS / "DejaVuSans-Bold.ttf", ascii_whole=True)
    pdfmetrics.registerFontFamily(SANS, normal=SANS, bold=BOLD, italic=SANS, boldItalic=BOLD)


class NumberedPages(Canvas):  # type: ignore[misc]  # reportlab ships no types
    """A canvas that knows, when it writes a page's foot, how many pages there are.

    ASCII and `USUAL` are written with the same codes in every document, in typefaces of the same names. So what was
    drawn with them once can be said again as it is.
    """

    def __init__(self, *args: Any, foot: str, **kwargs: Any) -> None:
        # without a first font of ours each page names one that is not in the file, and ours have other names
        super().__init__(*args, **{**kwargs, "initialFontName": SANS})
        self._foot = foot
        self._kept: list[dict[str, Any]] = []
        self._last: list[tuple[Callable[[Canvas], None], tuple[float, float]]] = []  # of the page that is set now
        _Shared.document = object()
        self._fonts = [pdfmetrics.getFont(name) for name in (SANS, BOLD)]
        for font in self._fonts:
            font.splitString(USUAL, self._doc)
            font.getSubsetInternalName(0, self._doc)
        self._usual = self._letters()

    def _letters(self) -> list[int]:
        """How many letters besides ASCII the document has so far, in each typeface."""
        return [len(font.state[self._doc].assignments) for font in self._fonts]

    def said(self, draw: Callable[[], None]) -> Operators | None:
        """Draw something. Gives the operators that do so in every document, or None where they do in this one alone."""
        start, was_usual = len(self._code), self._letters() == self._usual
        draw()
        return tuple(self._code[start:]) if was_usual and self._letters() == self._usual else None

    def say(self, operators: Operators) -> None:
        """Draw again what `said` gave."""
        self._code.extend(operators)

    def at_last(self, paint: Callable[[Canvas], None]) -> None:
        """Paint something here when all pages are set, on top of the rest of this one."""
        self._last.append((paint, self.absolutePosition(0, 0)))

    def showPage(self) -> None:
        """Keep the page until the last one is there."""
        self._kept.append(dict(self.__dict__))
        self._last = []
        self._startPage()

    def save(self) -> None:
        """Write all pages, each with its foot."""
        for number, page in enumerate(self._kept, start=1):
            self.__dict__.update(page)
            for paint, place in self._last:
                self.saveState()
                self.translate(*place)
                paint(self)
                self.restoreState()
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
