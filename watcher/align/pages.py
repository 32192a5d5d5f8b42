"""Write test sheets as PDF: one file for a printer that turns the sheet, two for a stack that a person turns.

The same input gives the same bytes. The font is embedded. ViewerPreferences are set as for an order's sheets: no
scaling, and which edge to flip on.
"""

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pypdf.generic import IndirectObject
from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Frame, KeepInFrame, Paragraph

from watcher.instructions.style import BOLD, SANS, printable, register_fonts
from watcher.layout.geometry import Box, Size
from watcher.layout.register.alignment import Correction, correction_matrix, is_identity
from watcher.sheet.draw.lettering import small_font
from watcher.sheet.draw.pdf_file import PdfFile
from watcher.sheet.draw.plan import SheetName
from watcher.sheet.matrix import exact
from watcher.terms import Duplex, Flip, Side
from watcher.units import mm_to_points

Draw = Callable[[Canvas], None]
_PLAIN_WIDTH_MM = 175  # of the words on a letter or A4 sheet
_MOST_LARGER = 1.5


@dataclass(frozen=True, kw_only=True)
class TestSheet:
    """A test sheet: its two pages, and how it is printed.

    Attributes:
        size: of the sheet.
        title: of the file.
        front, back: draw the page, points, origin lower left; no back: one side is printed.
        second: draws front and back of another sheet of the same stack; None: there is none.
        duplex, flip: how it is printed, as the print dialog calls it.
        correction: of the back page; None: as the printer prints.
    """

    __test__ = False  # the name of a thing, no test of pytest's

    size: Size
    title: str
    front: Draw
    back: Draw | None
    duplex: Duplex
    flip: Flip
    correction: Correction | None = None
    second: tuple[Draw, Draw] | None = None

    def drawings(self, side: Side) -> tuple[Draw, ...]:
        """Give the drawings of one side, one for each sheet."""
        first = self.front if side is Side.FRONT or self.back is None else self.back
        return (first,) if self.second is None else (first, self.second[side is Side.BACK])


def sheet_files(sheet: TestSheet) -> dict[str, bytes]:
    """Give the PDF files of a sheet, by the end of their name: `.pdf`, or `_1-fronts.pdf` and `_2-backs.pdf`."""
    if sheet.back is None:
        return {".pdf": _file(sheet, (Side.FRONT,))}
    if sheet.duplex is Duplex.AUTOMATIC:
        return {".pdf": _file(sheet, (Side.FRONT, Side.BACK))}
    return {
        f"_{SheetName.FRONTS}.pdf": _file(sheet, (Side.FRONT,)),
        f"_{SheetName.BACKS}.pdf": _file(sheet, (Side.BACK,)),
    }


def _file(sheet: TestSheet, sides: Sequence[Side]) -> bytes:
    file = PdfFile()
    forms = file.pages_of(_drawn(sheet, sides))
    drawn = [side for side, _ in _pages(sheet, sides)]
    for side, form in zip(drawn, forms, strict=True):
        content = file.content(_content(sheet, side))
        file.add_page(sheet.size, content, _resources(file, form))
    file.set_printing(sheet.duplex if len(sides) > 1 else None, sheet.flip, None)
    return file.to_bytes()


def _pages(sheet: TestSheet, sides: Sequence[Side]) -> list[tuple[Side, Draw]]:
    """Give the pages of a file, sheet after sheet."""
    by_sheet = zip(*(sheet.drawings(side) for side in sides), strict=True)
    return [page for drawings in by_sheet for page in zip(sides, drawings, strict=True)]


def _resources(file: PdfFile, form: IndirectObject) -> IndirectObject:
    return file.resources({"/Page": form})


def _content(sheet: TestSheet, side: Side) -> bytes:
    if side is Side.FRONT or sheet.correction is None or is_identity(sheet.correction):
        return b"/Page Do"
    return f"q {exact(correction_matrix(sheet.correction, sheet.size)).operator} /Page Do Q".encode("ascii")


def _drawn(sheet: TestSheet, sides: Sequence[Side]) -> bytes:
    register_fonts()
    small_font()  # the ruler's
    finished = io.BytesIO()
    size = (pt(sheet.size.width), pt(sheet.size.height))
    canvas = Canvas(finished, pagesize=size, invariant=1, pageCompression=1, initialFontName=SANS)
    for _, draw in _pages(sheet, sides):
        canvas.setFillGray(0)
        canvas.setStrokeGray(0)
        draw(canvas)
        canvas.showPage()
    canvas.save()
    return finished.getvalue()


def pt(mm: Fraction) -> float:
    """Convert millimetres to points, as a canvas takes them."""
    return float(mm_to_points(mm))


def set_text(canvas: Canvas, box: Box, parts: Sequence[tuple[str, str]]) -> None:
    """Set paragraphs (style, mark-up) from the top of a box downwards, made smaller together when they do not fit.

    On a large sheet the letters are larger, since it is held further away.
    """
    larger = min(_MOST_LARGER, max(1.0, float(box.width / _PLAIN_WIDTH_MM)))
    styles = {name: _style(name, larger) for name, _ in parts}
    story: list[Flowable] = [Paragraph(printable(words, styles[name].fontName), styles[name]) for name, words in parts]
    width, height = pt(box.width), pt(box.height)
    frame = Frame(
        pt(box.left), pt(box.bottom), width, height, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0
    )
    frame.addFromList([KeepInFrame(width, height, story, mode="shrink")], canvas)


def _style(name: str, larger: float) -> ParagraphStyle:
    changes: dict[str, dict[str, Any]] = {
        "title": {"fontName": BOLD, "fontSize": 16, "leading": 20, "spaceAfter": 4},
        "what": {"fontSize": 11, "leading": 14, "spaceAfter": 6},
        "sheet": {"fontName": BOLD, "fontSize": 26, "leading": 34, "spaceAfter": 6},
        "step": {"fontSize": 12, "leading": 16, "spaceAfter": 6},
    }
    sizes = {key: value * larger for key, value in changes[name].items() if key != "fontName"}
    return ParagraphStyle(name, textColor=black, **{"fontName": SANS, **changes[name], **sizes})
