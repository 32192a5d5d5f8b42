"""The records of a plain order, for instructions: two cards of 5 x 7 in on letter."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

from watcher.instructions.finishing import Finishing
from watcher.instructions.page_facts import Instructions
from watcher.instructions.printing import Printing, PrintJob
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.marks.sheet_marks import SheetMarks
from watcher.layout.model import Face, Layout, Place
from watcher.orders.quantity import SheetCount
from watcher.orders.wishes import Wishes
from watcher.settings.amounts import Pile
from watcher.settings.card import CardSettings
from watcher.settings.cutter import GUILLOTINE
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.settings.to_toml import SheetSetup
from watcher.sheet.draw.ruler import LONG_RULER
from watcher.sheet.draw.size_check import SizeCheck
from watcher.terms import Copies, CutterKind, Flip, Turn

INCH = Fraction("25.4")
LETTER = Size(Fraction("215.9"), Fraction("279.4"))
A4 = Size(Fraction(210), Fraction(297))
FIVE_BY_SEVEN = Size(5 * INCH, 7 * INCH)


def two_up(sheet: Size = LETTER, flip: Flip | None = Flip.LONG_EDGE) -> Layout:
    """5 x 7 in, two on letter at (19.05, 9.525) and (19.05, 142.875) mm, turned 90; common practice, no source."""
    size = FIVE_BY_SEVEN.turned(Turn.LEFT)
    trims = [Box.at(Fraction("19.05"), Fraction(y), size) for y in ("142.875", "9.525")]
    faces = [Face(trim=trim, bleed_box=trim.grown(Fraction("3.175")), turn=Turn.LEFT) for trim in trims]
    return Layout(
        sheet=sheet,
        trim=FIVE_BY_SEVEN,
        bleed=Fraction("3.175"),
        places=tuple(Place(number=number, front=face, back=face) for number, face in enumerate(faces, start=1)),
        printable=Box.at(Fraction(0), Fraction(0), sheet).within(Margins.all_round(Fraction("6.35"))),
        flip=flip,
        cut_lines=6,
        mixed=False,
    )


def finishing(layout: Layout, **changes: Any) -> Finishing:
    plain: dict[str, Any] = {
        "plan": plan_cuts(layout, least_gauge=Fraction(30)),
        "lead": None,
        "cutter": CutterKind.GUILLOTINE,
        "pile": Pile(height=Fraction(40)),
        "thickness": None,
        "folded": FIVE_BY_SEVEN,
        "fold": None,
        "corner": Fraction(0),
        "envelope": None,
    }
    return Finishing(**(plain | changes))


FACTS = Instructions(
    order="lantern-walk",
    cards="invitation",
    date="2026-11-25",
    settings=SheetSetup(
        card=CardSettings(name="invitation", trim=FIVE_BY_SEVEN, sheet="letter"),
        sheet=SheetSettings(name="letter", size=LETTER, printer="office", paper="ivory felt 300 g"),
        printer=PrinterSettings(name="office", flip=Flip.LONG_EDGE),
        cutter=GUILLOTINE,
    ),
    wishes=Wishes(),
    count=SheetCount(quantity=50, overs_cards=2, up=2, base=25, spare=1),
    layout=two_up(),
    marks=SheetMarks(marks=()),
    finishing=finishing(two_up()),
    findings=(),
    printing=Printing(
        jobs=(PrintJob(files=("lantern-walk_sheets.pdf",), sheets=26),),
        copies=Copies.ONCE,
        size_check=SizeCheck(ruler=LONG_RULER),
    ),
)

# Which record of the page a fact stands in, and what it is called there.
_IN_COUNT = {"quantity": "quantity", "base_sheets": "base", "spare_sheets": "spare", "up": "up"}
_IN_SHEET = {"paper": "paper", "sheet_name": "name", "marks": "marks", "slug": "slug"}
_IN_PRINTER = {"duplex": "duplex", "feed": "feed", "reload": "reload", "kind": "kind", "chosen_flip": "dialog_flip"}
_IN_PRINTING = {"copies": "copies", "size_check": "size_check", "stack": "stack"}


def changed(facts: Instructions, **changes: Any) -> Instructions:
    """The same page with other facts, each put into the record that it stands in."""

    def taken(names: dict[str, str]) -> dict[str, Any]:
        return {names[key]: changes.pop(key) for key in tuple(changes) if key in names}

    layout, settings, files = changes.pop("layout", facts.layout), facts.settings, changes.pop("files", None)
    layout = replace(layout, **taken({"sheet": "sheet", "trim": "trim", "flip": "flip"}))
    sheet = settings.sheet.model_copy(update=taken(_IN_SHEET))
    printer = settings.printer.model_copy(update=taken(_IN_PRINTER) | {"flip": layout.flip})
    count = replace(facts.count, **taken(_IN_COUNT))
    files = facts.printing.jobs[0].files if files is None else files
    jobs = changes.pop("jobs", None) or (PrintJob(files=files, sheets=count.total),)
    return replace(
        facts,
        layout=layout,
        settings=replace(settings, sheet=sheet, printer=printer),
        count=count,
        wishes=replace(facts.wishes, **taken({"note": "note", "due": "due"})),
        marks=replace(facts.marks, **taken({"unmarked": "unmarked"})),
        printing=replace(facts.printing, jobs=jobs, **taken(_IN_PRINTING)),
        **changes,
    )
