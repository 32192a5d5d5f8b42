"""The instruction sheet that lies beside the print file: how to print, check and cut this order, for people.

Comes in: the facts of one order (`Instructions`). Goes out: the bytes of a PDF, black on white, embedded font, the
same bytes for the same facts (its only clock is the order's own date).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from io import BytesIO

from reportlab.lib import pagesizes
from reportlab.lib.colors import black
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, SimpleDocTemplate, Table

from watcher.art.model import Finding
from watcher.layout.geometry import Size
from watcher.layout.model import Layout
from watcher.orders.quantity import quantity_line
from watcher.outbox import instruction_words as words
from watcher.outbox.instruction_style import (
    BOLD,
    MARGIN,
    NO_BREAK,
    SANS,
    NumberedPages,
    binary_streams,
    paragraph,
    printable,
    register_fonts,
)
from watcher.outbox.sheet_sketch import SheetPictures, trim_lines
from watcher.terms import Copies, Duplex, Feed, Flip, Level, Marks
from watcher.units import mm_to_inches

LEVEL_WORDS = {Level.NOTE: "Note", Level.WARN: "Look at this", Level.HOLD: "Printed anyway", Level.REFUSE: "Fault"}


@dataclass(frozen=True, kw_only=True)
class Instructions:
    """Everything the sheet says.

    Attributes:
        order, card: names as people wrote them.
        quantity: finished cards.
        base_sheets, spare_sheets: sheets for the quantity, and on top of it.
        up: cards on one sheet.
        trim, sheet: sizes, mm.
        sheet_name, paper: the sheet's name in the settings, and the shop's own words for the paper (may be empty).
        flip: None when one-sided.
        duplex, feed, reload: how this printer gets its second side, which edge enters first, and the shop's own words
            for putting the stack back in.
        files: names of the sheet files, in the order in which they are printed.
        date: of the first making, as it is to be shown.
        note, due: from the job ticket.
        findings: what the checks said.
        layout: where the cards lie.
        preview_png: the picture of the finished sheet.
        copies: whether the file holds each page once or once a sheet.
        marks: whether crop marks are drawn.
        ruler: whether a ruler was asked for; the finding `ruler-left-out` says that there was no room for it.
    """

    order: str
    card: str
    quantity: int
    base_sheets: int
    spare_sheets: int
    up: int
    trim: Size
    sheet: Size
    sheet_name: str
    paper: str
    flip: Flip | None
    duplex: Duplex
    feed: Feed
    reload: str | None
    files: tuple[str, ...]
    date: str
    note: str | None
    due: str | None
    findings: tuple[Finding, ...]
    layout: Layout
    preview_png: bytes | None
    copies: Copies = Copies.ONCE
    marks: Marks = Marks.CROP
    ruler: bool = True

    @property
    def sheets(self) -> int:
        """Sheets to print."""
        return self.base_sheets + self.spare_sheets

    @property
    def has_ruler(self) -> bool:
        """Whether the sheet carries the ruler."""
        return self.ruler and all(finding.code != "ruler-left-out" for finding in self.findings)


def write_instructions(instructions: Instructions) -> bytes:
    """The instruction sheet as a PDF of one page, or two where one is too short."""
    register_fonts()
    page, out = page_size(instructions.sheet), BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize=page,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
        title=printable(instructions.order, SANS),
        author="print-folder",
        invariant=1,
    )
    width = page[0] - 2 * MARGIN - 12  # a frame keeps 6 points of its own on either side
    foot = printable(f"{instructions.order}, {instructions.date}", SANS)
    with binary_streams():
        document.build(list(_story(instructions, width)), canvasmaker=partial(NumberedPages, foot=foot))
    return out.getvalue()


def page_size(sheet: Size) -> tuple[float, float]:
    """Letter when the sheet is an inch size (both sides whole quarter inches), else A4; points."""
    quarters = [mm_to_inches(side) * 4 for side in (sheet.width, sheet.height)]
    size: tuple[float, float] = pagesizes.LETTER if all(side.denominator == 1 for side in quarters) else pagesizes.A4
    return size


def _story(facts: Instructions, width: float) -> Iterator[Flowable]:
    """From the most needed down, so that a second page never holds what must be read first."""
    grave = [finding for finding in facts.findings if finding.level is not Level.NOTE]
    notes = [finding for finding in facts.findings if finding.level is Level.NOTE]
    yield paragraph(words.plain(facts.order), "title")
    yield paragraph(quantity_line(facts.quantity, facts.base_sheets, facts.spare_sheets), "count")
    yield from _from_ticket(facts)
    yield from _findings("Before you print", grave)
    yield _settings_table(facts, width)
    yield from _steps(facts)
    yield KeepTogether([paragraph("At the cutter", "head"), paragraph(words.CUTTER_CAUTION, "body")])
    yield from _findings("Worth knowing", notes)
    yield from _drawings(facts)


def _from_ticket(facts: Instructions) -> Iterator[Flowable]:
    said = [f"<b>Due:</b> {words.plain(facts.due)}"] if facts.due else []
    if facts.note:
        said.append(f"<b>Note:</b> {words.plain(facts.note)}")
    if said:
        yield paragraph("<br/>".join(said), "boxed")


def _settings_table(facts: Instructions, width: float) -> Flowable:
    """Left what the print dialog calls it, right what to set."""
    paper = f"{words.plain(facts.paper)}, " if facts.paper else ""
    size = words.size_in_both(facts.sheet)
    rows = {
        "Card": f"{words.plain(facts.card)}, trimmed {words.size_in_both(facts.trim)}, {facts.up} on a sheet",
        "Print": words.files_to_print(facts.files, facts.sheets, facts.copies),
        "Paper": f"<b>{paper}{words.plain(facts.sheet_name)}</b>, {size}",
        "Size": words.size_setting(facts.flip),
        "Feed": words.feed_words(facts.feed, facts.sheet),
        "Two-sided": words.sides_setting(facts.flip, facts.duplex, facts.sheet),
    }
    label_width = 68.0
    cells = [[paragraph(label, "label"), paragraph(value, "body")] for label, value in rows.items()]
    style = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, black),
        ("LINEABOVE", (0, 0), (-1, 0), 0.4, black),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    ]
    return Table(cells, colWidths=[label_width, width - label_width], style=style, spaceBefore=6, spaceAfter=4)


def _steps(facts: Instructions) -> Iterator[Flowable]:
    steps = (
        words.print_one(facts.files, facts.flip, facts.duplex, facts.copies, facts.reload),
        words.check_one(facts.flip, has_ruler=facts.has_ruler, marks=facts.marks, trim=facts.trim),
        words.print_rest(facts.files, facts.sheets, facts.flip, facts.duplex, facts.copies, facts.reload),
        _where_to_cut(facts),
    )
    for number, step in enumerate(steps, start=1):
        yield paragraph(step, "step", bullet=f"{number}.")


def _where_to_cut(facts: Instructions) -> str:
    across, upward = (", ".join(map(_unbroken, lines)) for lines in trim_lines(facts.layout))
    guide = "at the marks" if facts.marks is Marks.CROP else "by these measures (the sheet carries no marks)"
    return (
        f"<b>Cut</b> {guide}, front side up. Trims lie, from the left edge of the sheet, at {across}; "
        f"from its bottom edge at {upward}."
    )


def _unbroken(mm: Fraction) -> str:
    """A measure that no line end parts from its unit."""
    return words.both_units(mm).replace(" ", NO_BREAK)


def _drawings(facts: Instructions) -> Iterator[Flowable]:
    caption = "The sheet, front side up. White: the cards; the triangle is at a card's top."
    yield CondPageBreak(SheetPictures.LEAST + 20)
    yield paragraph(f"{caption} Right: how it looks." if facts.preview_png else caption, "caption")
    yield SheetPictures(facts.layout, facts.preview_png, SANS, BOLD)


def _findings(heading: str, findings: Sequence[Finding]) -> Iterator[Flowable]:
    if not findings:
        return
    yield CondPageBreak(40)
    yield paragraph(heading, "head")
    for finding in findings:
        yield paragraph(f"<b>{LEVEL_WORDS[finding.level]}:</b> {words.plain(finding.message)}", "listed")
