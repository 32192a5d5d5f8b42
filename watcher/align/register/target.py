"""Place the marks of the register target on a sheet: geometry alone, mm.

Each mark is a cross on the front and a graduated scale on the back, its zero exactly behind the cross. A ring goes
round either, of another size on each face, for scans: its middle is found to a hundredth of a millimetre, and the
other face's ring, where it shines through, lies apart. A black dot beside mark 1 says on a scan which way up the page
is.
"""

from dataclasses import dataclass
from fractions import Fraction

from watcher.errors import NoCardFits, WrongUsage
from watcher.layout.backs import point_behind
from watcher.layout.geometry import Box, Point, Size
from watcher.layout.model import LayoutRequest
from watcher.layout.printable import printable_on_front
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import Backs, Duplex, Flip, Prefer, Side
from watcher.units import show_mm, show_size

FRONT_RING_MM, BACK_RING_MM = Fraction(6), Fraction(8)  # radius of the middle of the line
RING_WIDTH_MM = Fraction("0.6")
SCALE_REACH_MM = 5
SCALE_STEP_MM = Fraction("0.2")
DOT_RADIUS_MM = Fraction("1.5")
DOT_AWAY_MM = Fraction("14.5")  # from mark 1, towards the middle of the page
TEXT_AWAY_MM = Fraction(18)  # from a row of marks: clear of ring, words and dot
_CLEAR_MM = Fraction(2)  # of the unprintable rim: a page may lie that far off
_ASIDE_MM, _ABOVE_MM = (
    Fraction("16.5"),
    Fraction("12.5"),
)  # what a mark with its words needs beside and above its middle
_LEAST_ROW_MM, _LEAST_COLUMN_MM = Fraction(48), Fraction(36)  # between two rows or columns


@dataclass(frozen=True, kw_only=True)
class TargetMark:
    """One mark; `front` and `back` are the same place in the sheet, in the axes of either page."""

    number: int
    front: Point
    back: Point

    def on(self, side: Side) -> Point:
        """Give the mark's place on one page."""
        return self.front if side is Side.FRONT else self.back


@dataclass(frozen=True, kw_only=True)
class Target:
    """The register target of a sheet.

    Attributes:
        printer, sheet_name: what it is for, as the settings call them.
        sheet: its size.
        flip: the edge it is turned on.
        duplex: who turns it.
        printable: what both faces can print, axes of the front.
        marks: by number, as the front is read: top row first, left to right.
    """

    printer: str
    sheet_name: str
    sheet: Size
    flip: Flip
    duplex: Duplex
    printable: Box
    marks: tuple[TargetMark, ...]

    def mark(self, number: int) -> TargetMark:
        """Give the mark of that number; WrongUsage when there is none."""
        found = next((mark for mark in self.marks if mark.number == number), None)
        if found is None:
            raise WrongUsage(f"There is no mark {number} on the register target; its marks are 1 to {len(self.marks)}.")
        return found

    def dot(self, side: Side) -> Point:
        """Give the place of the dot that says which way up a page is."""
        return self.beside(self.marks[0].on(side))

    def beside(self, mark: Point) -> Point:
        """Give the place beside a mark, towards the middle of its page, where mark 1 has the dot."""
        inwards = -1 if mark.y > self.sheet.height / 2 else 1
        return Point(mark.x, mark.y + inwards * DOT_AWAY_MM)


def ring_radius(side: Side) -> Fraction:
    """Give the radius of the rings on one face, mm."""
    return FRONT_RING_MM if side is Side.FRONT else BACK_RING_MM


def place_target(sheet: SheetSettings, printer: PrinterSettings, flip: Flip | None = None) -> Target:
    """Place the register target on a sheet.

    Args:
        sheet: what it is for.
        printer: likewise.
        flip: the edge that it is turned on; None: as the settings say, the long edge where they do not.

    Raises:
        WrongUsage: the sheet is too small for six marks.
    """
    flip = flip or printer.flip or Flip.LONG_EDGE
    try:
        printable = printable_on_front(_request(sheet, printer, flip))
    except NoCardFits as error:
        raise WrongUsage(str(error)) from error
    room = printable.grown(-_CLEAR_MM)
    centres = Box(room.left + _ASIDE_MM, room.bottom + _ABOVE_MM, room.right - _ASIDE_MM, room.top - _ABOVE_MM)
    columns, rows = (3, 2) if sheet.size.is_landscape else (2, 3)
    if centres.width < _LEAST_COLUMN_MM * (columns - 1) or centres.height < _LEAST_ROW_MM * (rows - 1):
        raise WrongUsage(_too_small(sheet, columns, rows))
    return Target(
        printer=printer.name,
        sheet_name=sheet.name,
        sheet=sheet.size,
        flip=flip,
        duplex=printer.duplex,
        printable=printable,
        marks=tuple(
            TargetMark(number=number, front=front, back=point_behind(front, sheet.size, flip))
            for number, front in enumerate(_grid(centres, columns, rows), start=1)
        ),
    )


def _grid(over: Box, columns: int, rows: int) -> list[Point]:
    """Give the points of a grid that reaches to the edges of a box, row by row from its top left."""
    return [
        Point(over.left + over.width * column / (columns - 1), over.top - over.height * row / (rows - 1))
        for row in range(rows)
        for column in range(columns)
    ]


def _request(sheet: SheetSettings, printer: PrinterSettings, flip: Flip) -> LayoutRequest:
    """Give the layout request that tells where both faces can print; no card comes into it."""
    nothing = Fraction(0)
    return LayoutRequest(
        sheet=sheet.size,
        trim=sheet.size,
        bleed=nothing,
        least_bleed=nothing,
        gutter=nothing,
        unprintable=sheet.unprintable,
        unprintable_back=sheet.unprintable_back,
        two_sided=True,
        flip=flip,
        duplex=printer.duplex,
        feed=printer.feed,
        backs=Backs.HEAD_TO_HEAD,
        mixed_turns=False,
        prefer=Prefer.MOST_CARDS,
        cards_wanted=1,
    )


def _too_small(sheet: SheetSettings, columns: int, rows: int) -> str:
    around_x, around_y = 2 * (_CLEAR_MM + _ASIDE_MM), 2 * (_CLEAR_MM + _ABOVE_MM)
    return (
        f"The sheet {sheet.name} is {show_size(sheet.size.width, sheet.size.height)}, too small for the six marks of "
        f"the register target: what both faces can print must be at least "
        f"{show_mm(around_x + _LEAST_COLUMN_MM * (columns - 1))} mm wide and "
        f"{show_mm(around_y + _LEAST_ROW_MM * (rows - 1))} mm high. Align the printer with a larger sheet, and write "
        f"its correction for {sheet.name} by hand under align in settings.toml."
    )
