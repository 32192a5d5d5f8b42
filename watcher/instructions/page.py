"""The instructions that lie beside the print file: how to print, check and cut an order, as a PDF for people.

Black on white, with embedded fonts; the same records always make the same bytes.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from itertools import groupby

from reportlab.lib import pagesizes
from reportlab.lib.colors import black
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import CondPageBreak, Flowable, KeepInFrame, PageBreak, SimpleDocTemplate, Table
from reportlab.platypus.doctemplate import LayoutError

from watcher.instructions import words
from watcher.instructions.cut_section import CutSection
from watcher.instructions.design_words import where_designs_lie
from watcher.instructions.finishing import Finishing
from watcher.instructions.gang_section import GangFacts, gang_pages
from watcher.instructions.picture import Picture
from watcher.instructions.preview import FORMS_SHOWN, LatePicture
from watcher.instructions.printing import Printing
from watcher.instructions.reload_sketch import ReloadDrawing, read_reload
from watcher.instructions.style import BARE, BOLD, MARGIN, SANS, NumberedPages, paragraph, printable, register_fonts
from watcher.layout.geometry import Size
from watcher.layout.marks.sheet_marks import SheetMarks
from watcher.layout.model import Layout
from watcher.orders.model import DesignPlaces
from watcher.orders.quantity import SheetCount
from watcher.orders.wishes import Wishes
from watcher.settings.to_toml import SheetSetup
from watcher.sheet.draw.lettering import binary_streams
from watcher.terms import Duplex, Finding, Level, Marks
from watcher.units import mm_to_inches

LEVEL_WORDS = {Level.NOTE: "Note", Level.WARN: "Look at this", Level.HOLD: "Printed anyway", Level.REFUSE: "Fault"}


@dataclass(frozen=True, kw_only=True)
class Instructions:
    """What the page tells: the records of the order, or of the gang run, whole.

    Attributes:
        order: the name that is printed on the sheets.
        cards: the names of its cards.
        date: of the first making, as it is to be shown.
        settings: what it was made with; of a gang run those of any of its orders.
        wishes: note and due date are told; the rest stands in other records.
        count: cards and sheets.
        layout: where the cards lie.
        marks: where the sheet is marked.
        finishing: what is done to the printed sheets.
        findings: what the checks said.
        printing: which files are printed, and how.
        preview: the picture of the finished sheet; None where none was made.
        designs: which of several designs lies where; None for an order of one.
        gang: where orders share the sheets, whose each place is.
    """

    order: str
    cards: str
    date: str
    settings: SheetSetup
    wishes: Wishes
    count: SheetCount
    layout: Layout
    marks: SheetMarks
    finishing: Finishing
    findings: tuple[Finding, ...]
    printing: Printing
    preview: LatePicture | None = None
    designs: DesignPlaces | None = None
    gang: GangFacts | None = None

    @property
    def has_marks(self) -> bool:
        """Whether the sheet carries a cutting mark at all."""
        lines = {(stroke.is_upright, stroke.line) for stroke in self.finishing.plan.strokes}
        return self.settings.sheet.marks is Marks.CROP and not lines <= set(self.marks.unmarked)

    @property
    def has_score_marks(self) -> bool:
        """Whether folds are marked, where there are any."""
        left_out = any(finding.code == "score-marks-left-out" for finding in self.findings)
        return self.settings.sheet.marks is Marks.CROP and not left_out

    @property
    def has_numbers(self) -> bool:
        """Whether both sides of different sheets say which sheet they are."""
        return self.settings.sheet.slug and all(finding.code != "slug-left-out" for finding in self.findings)


PREVIEW_WIDTH, RELOAD_ROOM = 178.0, (118.0, 140.0)


@dataclass(frozen=True)
class _Setting:
    """One way to set the pages; the first that fits is taken.

    Attributes:
        most_pages: how many it may take.
        most_cuts: with more it is not tried.
        sketch_height: of the drawing, points.
        large: the type of the cut table.
        side_by_side: whether drawing and table stand beside each other.
    """

    most_pages: int
    most_cuts: int
    sketch_height: float
    large: bool
    side_by_side: bool = True

    @property
    def cut_apart(self) -> bool:
        """Whether the cutting has pages of its own."""
        return self.most_pages > 1


TOO_MANY = 1000  # pages
# The first that fits is taken; the last, a table that flows over as many pages as it takes, always does.
_SETTINGS = (
    *(_Setting(1, 25, height, large) for large in (True, False) for height in (300.0, 240.0, 190.0)),
    _Setting(2, 30, 330.0, True, side_by_side=False),
    _Setting(2, 30, 400.0, True),
    _Setting(2, 60, 400.0, False),
    _Setting(TOO_MANY, 10**9, 400.0, True, side_by_side=False),
)


def write_instructions(instructions: Instructions) -> bytes:
    """Write the instructions as a PDF: all on one page where it fits, else one page to print by and one to cut by."""
    register_fonts()
    cuts = len(instructions.finishing.plan.strokes)
    for setting in _SETTINGS[:-1]:
        if cuts <= setting.most_cuts:
            pdf, pages = _build(instructions, setting)
            if pages <= setting.most_pages:
                return pdf
    return _build(instructions, _SETTINGS[-1])[0]


def _build(facts: Instructions, setting: _Setting) -> tuple[bytes, int]:
    """Set the pages in one way; gives the PDF and its number of pages."""
    page, out = page_size(facts.layout.sheet), BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize=page,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN - 8,
        bottomMargin=MARGIN,
        title=printable(facts.order, SANS),
        author="print-folder",
        initialFontName=SANS,  # else each page names a font that is not in the file
        invariant=1,
    )
    width, height = (length - 12 for length in (document.width, document.height))  # a frame keeps 6 points all round
    foot = printable(f"{facts.order}, {facts.date}", SANS)
    story, ends = list(_story(facts, width, setting)), _PageNote()
    own = _last_break(story) if facts.gang else len(story)
    if setting.most_pages < TOO_MANY and not all(_fits(page, width, height) for page in _pages_of(story[:own])):
        return b"", TOO_MANY
    if facts.gang:
        story.insert(own, ends)
    try:
        with binary_streams():
            document.build(story, canvasmaker=partial(NumberedPages, foot=foot))
    except LayoutError:  # drawing and table side by side are higher than a page
        return b"", TOO_MANY
    return out.getvalue(), ends.page or document.page


class _PageNote(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """Shows nothing and notes the page it comes to stand on."""

    def __init__(self) -> None:
        super().__init__()
        self.width = self.height = 0
        self.page = 0

    def draw(self) -> None:
        """Called by reportlab."""
        self.page = self.canv.getPageNumber()


def _last_break(story: Sequence[Flowable]) -> int:
    """Where the pages of a gang run begin, which do not count for how the others are set."""
    return max(at for at, part in enumerate(story) if isinstance(part, PageBreak))


def _pages_of(story: Sequence[Flowable]) -> Iterator[list[Flowable]]:
    """Split the story at its page breaks."""
    for is_break, parts in groupby(story, lambda part: isinstance(part, PageBreak)):
        if not is_break:
            yield list(parts)


def _fits(story: Sequence[Flowable], width: float, height: float) -> bool:
    """Whether all of it fits into one frame. Measured, which costs a fifth of setting the page."""
    try:
        KeepInFrame(width, height, list(story), mode="error").wrapOn(Canvas(BytesIO()), width, height)
    except LayoutError:
        return False
    return True


def page_size(sheet: Size) -> tuple[float, float]:
    """Give the size of the instructions in points: Letter for an inch sheet (whole quarter inches), else A4."""
    quarters = [mm_to_inches(side) * 4 for side in (sheet.width, sheet.height)]
    size: tuple[float, float] = pagesizes.LETTER if all(side.denominator == 1 for side in quarters) else pagesizes.A4
    return size


def _story(facts: Instructions, width: float, setting: _Setting) -> Iterator[Flowable]:
    """Give the parts, the most needed first, so that a second page never holds what must be read first."""
    grave = [finding for finding in facts.findings if finding.level is not Level.NOTE]
    notes = [finding for finding in facts.findings if finding.level is Level.NOTE]
    section = _cut_section(facts, large=setting.large)
    yield paragraph(words.plain(facts.order), "title")
    yield paragraph(facts.count.words, "count")
    yield from _from_ticket(facts)
    yield from _findings("Before you print", grave)
    yield _settings_and_preview(facts, width)
    yield from _steps(facts, width)
    yield from _where_designs_lie(facts)
    if setting.cut_apart:
        yield from _findings("Worth knowing", notes)
        yield PageBreak()
        yield paragraph(f"{words.plain(facts.order)}: cut", "title")
        yield from section.on_its_own(width, setting.sketch_height, side_by_side=setting.side_by_side)
    else:
        yield from section.in_one(width, setting.sketch_height)
        yield from _findings("Worth knowing", notes)
    if facts.gang:
        yield PageBreak()
        yield paragraph(f"{words.plain(facts.order)}: whose cards", "title")
        yield from gang_pages(facts.gang, facts.layout, width)


def _cut_section(facts: Instructions, *, large: bool) -> CutSection:
    return CutSection(
        finishing=facts.finishing,
        layout=facts.layout,
        sheets=facts.count.total,
        has_marks=facts.has_marks,
        has_score_marks=facts.has_score_marks,
        large=large,
        unmarked=facts.marks.unmarked,
    )


def _from_ticket(facts: Instructions) -> Iterator[Flowable]:
    due, note = facts.wishes.due, facts.wishes.note
    said = [f"<b>Due:</b> {due.isoformat()}"] if due else []
    if note:
        said.append(f"<b>Note:</b> {words.plain(note)}")
    if said:
        yield paragraph("<br/>".join(said), "boxed")


def _settings_and_preview(facts: Instructions, width: float) -> Flowable:
    """The settings of the print dialog, and beside them the preview."""
    if facts.preview is None:
        return _settings_table(facts, width)
    left = width - PREVIEW_WIDTH - 10
    picture = Picture(facts.preview, (PREVIEW_WIDTH, 150.0))
    caption = "How it looks: the front" + (", and the back." if facts.layout.flip else ".")
    if facts.designs is not None and len(facts.designs.forms) > 1:
        forms = len(facts.designs.forms)
        first = f"the first {FORMS_SHOWN} of " if forms > FORMS_SHOWN else ""
        caption = f"How they look: {first}{forms} different sheets."
    cells = [[_settings_table(facts, left), [picture, paragraph(caption, "caption")]]]
    return Table(cells, colWidths=[left + 10, PREVIEW_WIDTH], style=BARE, spaceBefore=2)


def _settings_table(facts: Instructions, width: float) -> Flowable:
    """The settings of the print dialog: left what they are called, right what to choose."""
    sheet, printer, flip, size = facts.settings.sheet, facts.settings.printer, facts.layout.flip, facts.layout.sheet
    paper, printing = f"{words.plain(sheet.paper)}, " if sheet.paper else "", facts.printing
    rows = {
        "Card": _card(facts),
        "Print": "<br/>".join(words.files_to_print(job.files, job.sheets, printing.copies) for job in printing.jobs),
        "Paper": f"<b>{paper}{words.plain(sheet.name)}</b>, {words.size_in_both(size)}",
        "Size": words.size_setting(flip),
        "Feed": words.feed_words(printer.feed, size, facts.finishing.lead),
        "Two-sided": words.sides_setting(flip and (printer.chosen_flip or flip), printer.duplex, size),
    }
    label_width = 62.0
    cells = [[paragraph(label, "label"), paragraph(value, "body")] for label, value in rows.items()]
    style = [
        *BARE,
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, black),
        ("LINEABOVE", (0, 0), (-1, 0), 0.4, black),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
    ]
    return Table(cells, colWidths=[label_width, width - label_width], style=style, spaceBefore=4, spaceAfter=2)


def _card(facts: Instructions) -> str:
    folded = f", then folded to {words.size_in_both(facts.finishing.folded)}" if facts.finishing.fold else ""
    use = f"{facts.count.up} on a sheet, {float(facts.layout.waste):.0%} of the paper is waste"
    return f"{words.plain(facts.cards)}, trimmed {words.size_in_both(facts.layout.trim)}{folded}, {use}"


def _steps(facts: Instructions, width: float) -> Iterator[Flowable]:
    flip, printer, printing = facts.layout.flip, facts.settings.printer, facts.printing
    copies, stack, numbered = printing.copies, printing.stack, facts.has_numbers
    first, *others = printing.jobs
    way = (flip, printer.duplex, copies, printer.reload)
    steps = (
        words.print_one(first.files, *way, stack=stack, others=bool(others)),
        words.check_one(flip, printer.duplex, printing.size_check, has_marks=facts.has_marks),
        *words.check_trial(stack, has_numbers=numbered),
        words.print_rest(first.files, first.sheets, *way, printer.kind, stack=stack, others=bool(others)),
        *words.check_numbers(stack, has_numbers=numbered),
        *(words.print_another(job.files, job.sheets) for job in others),
    )
    said = [paragraph(step, "step", bullet=f"{number}.") for number, step in enumerate(steps, start=1)]
    reload = read_reload(printer.reload) if flip and printer.duplex is Duplex.MANUAL else None
    if reload is None:
        yield from said
        return
    drawing = ReloadDrawing(reload, facts.layout.sheet, RELOAD_ROOM, (SANS, BOLD))
    left = width - RELOAD_ROOM[0] - 8
    yield Table([[said, drawing]], colWidths=[left + 8, RELOAD_ROOM[0]], style=BARE, spaceBefore=2)


def _where_designs_lie(facts: Instructions) -> Iterator[Flowable]:
    if facts.designs is not None:
        yield CondPageBreak(40)
        yield paragraph("Which card lies where", "head")
        most = facts.finishing.pile.sheets_of(facts.finishing.thickness) if facts.finishing.plan.strokes else None
        for line in where_designs_lie(facts.designs, most):
            yield paragraph(line, "listed")


def _findings(heading: str, findings: Sequence[Finding]) -> Iterator[Flowable]:
    if not findings:
        return
    yield CondPageBreak(40)
    yield paragraph(heading, "head")
    for finding in findings:
        yield paragraph(f"<b>{LEVEL_WORDS[finding.level]}:</b> {words.plain(finding.message)}", "listed")
