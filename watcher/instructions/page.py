"""The instructions that lie beside the print file: how to print, check and cut an order, as a PDF for people.

Black on white, with embedded fonts; the same records always make the same bytes.
"""

from collections.abc import Iterator
from functools import partial
from io import BytesIO

from reportlab.lib import pagesizes
from reportlab.platypus import Flowable, PageBreak, SimpleDocTemplate

from watcher.instructions import words
from watcher.instructions.cut_section import CutSection
from watcher.instructions.gang_section import gang_pages
from watcher.instructions.key_facts import key_facts
from watcher.instructions.page_facts import Instructions
from watcher.instructions.print_section import Pictures, designs_section, findings, large_preview, print_section
from watcher.instructions.style import (
    MARGIN,
    SANS,
    TITLE_SIZES,
    NumberedPages,
    fitted,
    heading,
    height_of,
    printable,
    register_fonts,
)
from watcher.layout.geometry import Size
from watcher.sheet.draw.lettering import binary_streams
from watcher.terms import Level
from watcher.units import mm_to_inches

# Tried in turn; the first that fits is taken.
_PICTURES = (
    *(Pictures(room=room) for room in ((216.0, 150.0), (184.0, 126.0), (160.0, 108.0))),
    Pictures(room=(134.0, 92.0), tight=True),
)
_LARGER_PICTURES = (Pictures(room=(250.0, 360.0)), *_PICTURES)  # where the cutting has a page of its own
# The share of the page's width that the drawing of the cuts may take, and whether its table is set in large type.
_CUTS = ((0.46, True), (0.40, True), (0.34, True), (0.40, False), (0.34, False))
_CAPTION_ROOM = 14.0  # points under the drawing of the cuts
_BETWEEN = 8.0  # points; what stands free above and below it
_LEAST_DRAWING = 136.0  # points; smaller ones cannot be read at arm's length
_LEAST_PREVIEW, _PREVIEW_HEAD = 150.0, 22.0  # points
_LEAST_LARGE = 330.0  # points; of the drawing of the cuts above its table


def write_instructions(instructions: Instructions) -> bytes:
    """Write the instructions as a PDF: all on one page where it fits, else one page to print by and one to cut by."""
    register_fonts()
    page, out = page_size(instructions.layout.sheet), BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize=page,
        leftMargin=MARGIN - 6,  # a frame keeps 6 points all round
        rightMargin=MARGIN - 6,
        topMargin=MARGIN - 14,
        bottomMargin=MARGIN - 6,
        title=printable(instructions.order, SANS),
        author="print-folder",
        invariant=1,
    )
    foot = printable(f"{instructions.order}, {instructions.date}", SANS)
    story = _story(instructions, document.width - 12, document.height - 12.5)
    with binary_streams():
        document.build(story, canvasmaker=partial(NumberedPages, foot=foot))
    return out.getvalue()


def page_size(sheet: Size) -> tuple[float, float]:
    """Give the size of the instructions in points: Letter for an inch sheet (whole quarter inches), else A4."""
    quarters = [mm_to_inches(side) * 4 for side in (sheet.width, sheet.height)]
    size: tuple[float, float] = pagesizes.LETTER if all(side.denominator == 1 for side in quarters) else pagesizes.A4
    return size


def _story(facts: Instructions, width: float, height: float) -> list[Flowable]:
    story = _on_one_page(facts, width, height) or _on_two_pages(facts, width, height)
    if facts.gang:
        story += [PageBreak(), _title(facts, "whose cards", width), *gang_pages(facts.gang, facts.layout, width)]
    return story


def _title(facts: Instructions, what: str, width: float) -> Flowable:
    return fitted(f"{words.plain(facts.order)}: {what}", TITLE_SIZES[1:], "title", width, 2)


def _notes(facts: Instructions) -> Iterator[Flowable]:
    notes = [finding for finding in facts.findings if finding.level is Level.NOTE]
    return findings("Worth knowing", notes, "small listed")


def _cut_section(facts: Instructions) -> CutSection:
    return CutSection(
        finishing=facts.finishing,
        layout=facts.layout,
        sheets=facts.count.total,
        has_marks=facts.has_marks,
        has_score_marks=facts.has_score_marks,
        unmarked=facts.marks.unmarked,
    )


def _to_print_by(facts: Instructions, width: float, pictures: Pictures) -> list[Flowable]:
    """What the person at the printer needs, the most needed first."""
    return [*key_facts(facts, width), *print_section(facts, width, pictures), *designs_section(facts)]


def _on_one_page(facts: Instructions, width: float, height: float) -> list[Flowable] | None:
    """All of it on one page, in the largest pictures and type that fit; None where none do."""
    section = _cut_section(facts)
    head = [heading("Cut", width), *section.before()]
    tail = [section.cautions(width), *_notes(facts)]
    for pictures in _PICTURES:
        before = [*_to_print_by(facts, width, pictures), *head]
        drawn = _cuts(section, width, height - height_of([*before, *tail], width) - _BETWEEN)
        if drawn is not None:
            return [*before, drawn, *tail]
    return None


def _cuts(section: CutSection, width: float, room: float) -> Flowable | None:
    """The drawing of the cuts and their table, in so much height; None where they do not fit."""
    if room < _LEAST_DRAWING + _CAPTION_ROOM:
        return None
    for share, large in _CUTS:
        sketch = (share * width, room - _CAPTION_ROOM)
        drawn = section.drawn_first(width, sketch, large=large)
        if height_of([drawn], width) <= room:
            return drawn
    return None


def _on_two_pages(facts: Instructions, width: float, height: float) -> list[Flowable]:
    """A page to print by, and another with the drawing of the cuts beside their table."""
    section, first = _cut_section(facts), _first_of_two(facts, width, height)
    second = [_title(facts, "cut", width), *section.before(), section.cautions(width)]
    room = height - height_of(second, width) - _BETWEEN
    below = list(section.one_below_the_other(width, _LEAST_LARGE))
    spare = room - height_of(below, width)
    if spare > 0:
        below = list(section.one_below_the_other(width, _LEAST_LARGE + spare))
    elif (drawn := _cuts(section, width, room)) is not None:
        below = [drawn]
    return [*first, PageBreak(), *second, *below]


def _first_of_two(facts: Instructions, width: float, height: float) -> list[Flowable]:
    """The page to print by, filled with the preview; that stands beside due date and note where there are any."""
    notes = list(_notes(facts))
    if not (facts.wishes.due or facts.wishes.note):
        first = [*_to_print_by(facts, width, Pictures(room=None)), *notes]
        left = height - height_of(first, width) - _PREVIEW_HEAD
        if left > _LEAST_PREVIEW:
            return [*first, *large_preview(facts, (width, left))]
    for pictures in _LARGER_PICTURES:
        first = [*_to_print_by(facts, width, pictures), *notes]
        if height_of(first, width) <= height:
            break
    return first
