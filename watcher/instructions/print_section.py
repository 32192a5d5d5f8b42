"""The section of the instructions for the person at the printer: pictures at the left, words beside them."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable, Table

from watcher.instructions import print_words, words
from watcher.instructions.design_words import where_designs_lie
from watcher.instructions.page_facts import Instructions
from watcher.instructions.picture import Picture
from watcher.instructions.preview import FORMS_SHOWN
from watcher.instructions.style import BARE, BOLD, SANS, boxed, paragraph
from watcher.instructions.turning_sketch import Turning, TurningDrawing, read_reload
from watcher.terms import Duplex, Finding, Level

LEVEL_WORDS = {Level.NOTE: "Note", Level.WARN: "Look at this", Level.HOLD: "Printed anyway", Level.REFUSE: "Fault"}
GAP = 14.0  # points between pictures and words
TURNING, TIGHT_TURNING = (160.0, 116.0), (134.0, 100.0)  # width and height of the drawing, points
_LEAST_WIDE = 100.0  # of the column of pictures, for what is written under them
_LABEL_WIDTH = 42.0
_FILE = re.compile(r"[^.]+(\.[^.]+)*\.[A-Za-z]{3,4}")


@dataclass(frozen=True, kw_only=True)
class Pictures:
    """How the pictures beside the words are set.

    Attributes:
        room: greatest width and height of the preview, points; None: it stands elsewhere.
        tight: smaller type, and only what a person turns is drawn: not what the printer does by itself.
    """

    room: tuple[float, float] | None
    tight: bool = False


def print_section(facts: Instructions, width: float, pictures: Pictures) -> Iterator[Flowable]:
    """Set what to print and what it must look like, then how: the drawing of the turning beside the steps.

    Args:
        facts: the order.
        width: of the page inside its margins, points.
        pictures: how they are set.
    """
    drawn, left = _drawn(facts, pictures)
    right = width - left - GAP if drawn else width
    style = "tight" if pictures.tight else "body"
    said = [
        *_from_ticket(facts, right, style),
        *_before(facts, pictures),
        _details(facts, right, style),
        *_steps(facts, style),
    ]
    if not drawn:
        yield from said
        return
    yield Table([[drawn, said]], colWidths=[left + GAP, right], style=BARE)


def _drawn(facts: Instructions, pictures: Pictures) -> tuple[list[Flowable], float]:
    """The preview and, below it, how the sheet is turned; and how wide they are."""
    turning, drawn, wide = _turning(facts), list[Flowable](), _LEAST_WIDE
    if facts.preview is not None and pictures.room is not None:
        shown = Picture(facts.preview, pictures.room)
        drawn, wide = [shown, paragraph(_caption(facts), "caption")], max(wide, shown.width)
    if turning is not None and (turning.by_hand or not pictures.tight):
        least, high = TIGHT_TURNING if pictures.tight else TURNING
        wide = max(wide, least)
        drawn.append(TurningDrawing(turning, facts.layout.sheet, (wide, high), (SANS, BOLD)))
    return drawn, wide


def large_preview(facts: Instructions, room: tuple[float, float]) -> list[Flowable]:
    """The preview by itself, in the middle of the page."""
    if facts.preview is None:
        return []
    shown = Picture(facts.preview, room)
    shown.hAlign = "CENTER"
    return [paragraph(_caption(facts), "small head"), shown]


def _caption(facts: Instructions) -> str:
    forms = len(facts.designs.forms) if facts.designs is not None else 1
    if forms > 1:
        first = f"the first {FORMS_SHOWN} of " if forms > FORMS_SHOWN else ""
        return f"How they look: {first}{forms} different sheets."
    return "How it looks: the front" + (", and the back." if facts.layout.flip else ".")


def _turning(facts: Instructions) -> Turning | None:
    flip, printer = facts.layout.flip, facts.settings.printer
    if flip is None:
        return None
    if printer.duplex is not Duplex.MANUAL:
        return Turning(flip=flip)
    reload = read_reload(printer.reload)
    own = printer.reload is not None and reload is None
    return Turning(flip=flip, by_hand=True, reload=reload, has_own_words=own)


def _before(facts: Instructions, pictures: Pictures) -> Iterator[Flowable]:
    grave = [finding for finding in facts.findings if finding.level is not Level.NOTE]
    return findings("Before you print", grave, "small listed" if pictures.tight else "listed")


def _from_ticket(facts: Instructions, width: float, style: str) -> Iterator[Flowable]:
    due, note = facts.wishes.due, facts.wishes.note
    said = [paragraph(f"Due {words.day(due)}", "due")] if due else []
    if note:
        said.append(paragraph(f"<b>Note:</b> {words.plain(note)}", style))
    if said:
        yield boxed(said, width)


def findings(heading: str, found: Sequence[Finding], style: str = "listed") -> Iterator[Flowable]:
    """What the checks said, each with its level, under a heading; what holds for both sides of a card is said once."""
    if found:
        yield paragraph(heading, "small head")
    for level, message in _said_once(found):
        yield paragraph(f"<b>{LEVEL_WORDS[level]}:</b> {words.plain(message)}", style)


def _said_once(found: Sequence[Finding]) -> Iterator[tuple[Level, str]]:
    """Each message; one that is the same but for the file's name at its start names the other file at its end."""
    alike: dict[tuple[Level, str, str, int], list[Finding]] = {}
    for number, finding in enumerate(found):
        file, said = _about_file(finding.message)
        alike.setdefault((finding.level, finding.code, said, 0 if file else number), []).append(finding)
    for (level, *_), (first, *others) in alike.items():
        files = [_about_file(other.message)[0] for other in others]
        yield level, f"{first.message} The same of {' and '.join(files)}." if files else first.message


def _about_file(message: str) -> tuple[str, str]:
    """The file that a message begins with, and what it says of it; nothing and the whole where it begins otherwise."""
    for verb in (" is ", " has "):
        file, found, said = message.partition(verb)
        if found and _FILE.fullmatch(file):
            return file, verb + said
    return "", message


def _details(facts: Instructions, width: float, style: str) -> Flowable:
    printing, printer, inches = facts.printing, facts.settings.printer, facts.inches_first
    files = (print_words.files_to_print(job.files, job.sheets, printing.copies) for job in printing.jobs)
    rows = {
        "Print": "<br/>".join(files),
        "Card": _card(facts),
        "Feed": print_words.feed_words(printer.feed, facts.layout.sheet, facts.finishing.lead, inches_first=inches),
    }
    if facts.cost is not None:
        rows["Cost"] = words.plain(facts.cost.words)
    cells = [[paragraph(label, "label"), paragraph(value, style)] for label, value in rows.items()]
    below = ("BOTTOMPADDING", (0, 0), (-1, -1), 2)
    return Table(cells, colWidths=[_LABEL_WIDTH, width - _LABEL_WIDTH], style=[*BARE, below], spaceBefore=4)


def _card(facts: Instructions) -> str:
    trim, folded = facts.layout.trim, facts.finishing.folded
    size, small = (words.size_in_both(one, inches_first=facts.inches_first) for one in (trim, folded))
    then = f", then folded to {small}" if facts.finishing.fold else ""
    use = f"{facts.count.up} on a sheet, {float(facts.layout.waste):.0%} of the paper is waste"
    return f"{words.plain(facts.cards)}, <b>{size}</b>{then}, {use}"


def _steps(facts: Instructions, style: str) -> Iterator[Flowable]:
    flip, printer, printing = facts.layout.flip, facts.settings.printer, facts.printing
    stack, numbered = printing.stack, facts.has_numbers
    first, *others = printing.jobs
    way = print_words.PrintWay(
        flip=flip, duplex=printer.duplex, copies=printing.copies, reload=printer.reload, kind=printer.kind
    )
    steps = (
        print_words.print_one(first.files, way, stack=stack, others=bool(others)),
        print_words.check_one(
            flip, printer.duplex, printing.size_check, has_marks=facts.has_marks, inches_first=facts.inches_first
        ),
        *print_words.check_trial(stack, has_numbers=numbered),
        print_words.print_rest(first.files, first.sheets, way, stack=stack, others=bool(others)),
        *print_words.check_numbers(stack, has_numbers=numbered),
        *(print_words.print_another(job.files, job.sheets) for job in others),
    )
    for number, step in enumerate(steps, start=1):
        yield paragraph(step, f"{style} step", bullet=f"{number}.")


def designs_section(facts: Instructions) -> Iterator[Flowable]:
    """Which of several designs lies where."""
    if facts.designs is not None:
        yield paragraph("Which card lies where", "small head")
        most = facts.finishing.pile.sheets_of(facts.finishing.thickness) if facts.finishing.plan.strokes else None
        for line in where_designs_lie(facts.designs, most):
            yield paragraph(line, "listed")
