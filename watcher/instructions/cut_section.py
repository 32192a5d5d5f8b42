"""The section of the instructions for the person at the cutter: drawing, cut table, piles, what comes after."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from reportlab.lib.colors import Color, black
from reportlab.platypus import Flowable, Table

from watcher.instructions import cut_words, words
from watcher.instructions.finishing import Finishing
from watcher.instructions.sheet_sketch import SheetDrawing
from watcher.instructions.style import BARE, BOLD, SANS, KeptPart, paragraph
from watcher.layout.model import CutPlan, Layout
from watcher.terms import CutterKind, Fold

HEAD_GREY = Color(0.9, 0.9, 0.9)
SKETCH_SHARE = 0.38  # of the page's width, beside the table
_COLUMNS = {"cell": (20.0, 46.0, 39.0, 60.0), "large cell": (22.0, 53.0, 45.0, 69.0)}  # points
_CAPTION = "The sheet, front side up. White: the cards; the triangle is at a card's top. Lines: the cuts, by number."


@dataclass(frozen=True, kw_only=True)
class CutSection:
    """Sets the cut section, as parts of a page.

    Attributes:
        finishing: what is done to the sheets.
        layout: where the cards lie.
        sheets: how many there are.
        has_marks: whether the sheets carry any marks.
        has_score_marks: whether the folds are marked.
        large: whether the table is set in large type.
        unmarked: lines to cut without a mark.
    """

    finishing: Finishing
    layout: Layout
    sheets: int
    has_marks: bool
    has_score_marks: bool
    large: bool
    unmarked: tuple[tuple[bool, Fraction], ...]

    def in_one(self, width: float, sketch_height: float) -> Iterator[Flowable]:
        """The section with the table beside the drawing, below what is on the page already."""
        yield from self._head()
        yield self._side_by_side(width, sketch_height)
        yield from self._cautions()

    def _side_by_side(self, width: float, sketch_height: float) -> Flowable:
        left = width * SKETCH_SHARE
        drawing = [self._sketch((left, sketch_height)), paragraph(_CAPTION, "caption")]
        beside = [*self._table(width - left - 6), *self._after()]
        return Table([[drawing, beside]], colWidths=[left + 6, width - left - 6], style=BARE)

    def on_its_own(self, width: float, sketch_height: float, *, side_by_side: bool) -> Iterator[Flowable]:
        """The section on a page of its own; with the drawing above the table long tables flow on."""
        yield paragraph(self._how(), "small")
        yield from self._cautions()
        if side_by_side:
            yield self._side_by_side(width, sketch_height)
            return
        yield self._sketch((width, sketch_height))
        yield paragraph(_CAPTION, "caption")
        yield from self._after()
        yield from self._table(width)

    def _head(self) -> Iterator[Flowable]:
        yield paragraph("Cut", "head")
        yield paragraph(self._how(), "small")

    def _how(self) -> str:
        return cut_words.how_to_cut(self.finishing, has_marks=self.has_marks)

    def _cautions(self) -> Iterator[Flowable]:
        yield paragraph(f"<b>At the cutter:</b> {words.CUTTER_CAUTION}", "boxed small")

    def _after(self) -> Iterator[Flowable]:
        piles = cut_words.piles_line(self.finishing, self.sheets)
        if piles:
            yield paragraph(piles, "after")
        for label, said in cut_words.after_cutting(self.finishing, has_score_marks=self.has_score_marks):
            yield paragraph(f"<b>{label}:</b> {said}.", "after")

    def _sketch(self, room: tuple[float, float]) -> Flowable:
        return _drawing(self.layout, self.finishing.plan, self.finishing.fold, room)

    def _table(self, width: float) -> Iterator[Flowable]:
        table = _cut_table(self.finishing, self.layout.up, self.unmarked, "large cell" if self.large else "cell", width)
        if table is not None:
            yield table


@lru_cache(maxsize=32)  # a layout in all sizes that are tried, and what a shop uses in a day
def _drawing(layout: Layout, plan: CutPlan, fold: Fold | None, room: tuple[float, float]) -> Flowable:
    drawing = SheetDrawing(layout, plan.strokes, fold, room, (SANS, BOLD))
    drawing.hAlign = "CENTER"
    return KeptPart(drawing)


@lru_cache(maxsize=32)
def _cut_table(
    finishing: Finishing, up: int, unmarked: tuple[tuple[bool, Fraction], ...], cell: str, width: float
) -> Flowable | None:
    rows = cut_words.cut_rows(finishing, up, unmarked)
    if not rows:
        return None
    edge = {CutterKind.GUILLOTINE: "at gauge", CutterKind.TRIMMER: "at stop", CutterKind.SCISSORS: "from"}
    heads = ("Cut", edge[finishing.cutter], "mm", "inches", "what is cut, and what it gives")
    cells = [[paragraph(head, "cell head") for head in heads]]
    for row in rows:
        said = (f"<b>{row.number}</b>", f"<b>{row.edge}</b>", f"<b>{row.mm}</b>", row.inches, row.what)
        cells.append([paragraph(text, cell) for text in said])
    style = [
        *BARE,
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), 0.6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
        ("LINEBELOW", (0, 0), (-1, -1), 0.3, black),
        ("LINEABOVE", (0, 0), (-1, 0), 0.3, black),
        ("BACKGROUND", (0, 0), (-1, 0), HEAD_GREY),
    ]
    columns = [*_COLUMNS[cell], width - sum(_COLUMNS[cell])]
    return KeptPart(Table(cells, colWidths=columns, style=style, repeatRows=1, spaceAfter=3))
