"""The section of the instructions for the person at the cutter: drawing, cut table, piles, what comes after."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from reportlab.lib.colors import Color, black
from reportlab.platypus import Flowable, Paragraph, Table

from watcher.instructions import cut_words, words
from watcher.instructions.finishing import Finishing
from watcher.instructions.sheet_sketch import RIM, SheetDrawing, sketch_scale
from watcher.instructions.style import BARE, BOLD, SANS, KeptPart, boxed, paragraph
from watcher.layout.model import CutPlan, Layout
from watcher.terms import CutterKind, Fold

HEAD_GREY = Color(0.9, 0.9, 0.9)
GAP = 10.0  # points between drawing and table
_AT = {CutterKind.GUILLOTINE: "guillotine", CutterKind.TRIMMER: "trimmer", CutterKind.SCISSORS: "scissors or knife"}
_BETWEEN = 7.0  # points between the columns of the table
_CAPTION = "Front side up. Triangle: a card's top."


@dataclass(frozen=True, kw_only=True)
class CutSection:
    """Sets the cut section, as parts of a page.

    Attributes:
        finishing: what is done to the sheets.
        layout: where the cards lie.
        sheets: how many there are.
        has_marks: whether the sheets carry any marks.
        has_score_marks: whether the folds are marked.
        unmarked: lines to cut without a mark.
    """

    finishing: Finishing
    layout: Layout
    sheets: int
    has_marks: bool
    has_score_marks: bool
    unmarked: tuple[tuple[bool, Fraction], ...]

    def before(self) -> Iterator[Flowable]:
        """How to use the table."""
        yield paragraph(cut_words.how_to_cut(self.finishing, has_marks=self.has_marks), "how")

    def drawn_first(self, width: float, sketch: tuple[float, float], *, large: bool) -> Flowable:
        """The drawing at the left and the table beside it.

        Args:
            width: of both, points.
            sketch: greatest width and height of the drawing.
            large: the type of the table.
        """
        drawing = self._drawing(sketch)
        left = sketch_scale(self.layout, sketch) * float(self.layout.sheet.width) + 2 * RIM
        right = width - left - GAP
        words_of_it = [drawing, paragraph(_CAPTION, "caption")]
        return Table([[words_of_it, self.beside(right, large=large)]], colWidths=[left + GAP, right], style=BARE)

    def beside(self, width: float, *, large: bool) -> list[Flowable]:
        """The table, and what comes after cutting."""
        return [*self._table(width, "large cell" if large else "cell"), *self._after()]

    def one_below_the_other(self, width: float, sketch_height: float) -> Iterator[Flowable]:
        """The drawing above a table as wide as the page, which may flow on over pages."""
        yield self._drawing((width, sketch_height))
        yield from self._after()
        yield from self._table(width, "large cell")

    def cautions(self, width: float) -> Flowable:
        """What the person at this cutter must mind, in a box."""
        caution = words.CUTTER_CAUTIONS[self.finishing.cutter]
        return boxed([paragraph(f"<b>At the {_AT[self.finishing.cutter]}:</b> {caution}", "small")], width)

    def _after(self) -> Iterator[Flowable]:
        piles = cut_words.piles_line(self.finishing, self.sheets)
        if piles:
            yield paragraph(piles, "after")
        for label, said in cut_words.after_cutting(self.finishing, has_score_marks=self.has_score_marks):
            yield paragraph(f"<b>{label}:</b> {said}.", "after")

    def _drawing(self, room: tuple[float, float]) -> Flowable:
        return _drawing(self.layout, self.finishing.plan, self.finishing.fold, room)

    def _table(self, width: float, cell: str) -> Iterator[Flowable]:
        lines = ((stroke.is_upright, stroke.line) for stroke in self.finishing.plan.strokes)
        unmarked = self.unmarked if self.has_marks else tuple(lines)
        table = _cut_table(self.finishing, self.layout.up, unmarked, cell, width)
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
    units = ("inches", "mm") if finishing.inches_first else ("mm", "inches")
    heads = ("Cut", edge[finishing.cutter], *units, "what is cut")
    cells = [[paragraph(head, "cell head") for head in heads]]
    for row in rows:
        first, second = (row.inches, row.mm) if finishing.inches_first else (row.mm, row.inches)
        said = (f"<b>{row.number}</b>", f"<b>{row.edge}</b>", f"<b>{first}</b>", second, row.what)
        cells.append([paragraph(text, cell) for text in said])
    style = [
        *BARE,
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), 0.8),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
        ("LINEBELOW", (0, 0), (-1, -1), 0.3, black),
        ("LINEABOVE", (0, 0), (-1, 0), 0.3, black),
        ("BACKGROUND", (0, 0), (-1, 0), HEAD_GREY),
    ]
    columns = [max(_wide(line[at]) for line in cells) + _BETWEEN for at in range(len(heads) - 1)]
    columns.append(width - sum(columns))
    return KeptPart(Table(cells, colWidths=columns, style=style, repeatRows=1, spaceAfter=3))


def _wide(cell: Paragraph) -> float:
    """The width of a cell on one line, points."""
    wide: float = cell.minWidth()
    return wide
