"""The facts of a plain order, for instructions: two cards of 5 x 7 in on letter."""

from fractions import Fraction
from typing import Any

from watcher.instructions.finishing import Finishing
from watcher.instructions.page import Instructions
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.model import Face, Layout, Place
from watcher.settings.values import Pile
from watcher.terms import CutterKind, Duplex, Feed, Flip, Turn

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
    card="invitation",
    quantity=50,
    base_sheets=25,
    spare_sheets=1,
    up=2,
    trim=FIVE_BY_SEVEN,
    sheet=LETTER,
    sheet_name="letter",
    paper="ivory felt 300 g",
    flip=Flip.LONG_EDGE,
    duplex=Duplex.AUTOMATIC,
    feed=Feed.SHORT_EDGE,
    reload=None,
    files=("lantern-walk_sheets.pdf",),
    date="2026-11-25",
    note=None,
    due=None,
    findings=(),
    layout=two_up(),
    preview=None,
    finishing=finishing(two_up()),
)
