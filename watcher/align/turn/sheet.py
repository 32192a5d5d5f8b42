"""Draw the turn test: a letter at each edge of the front, an arrow at the top of the back.

Where a person turns the stack there are two sheets, each with its name on both sides.
"""

from fractions import Fraction
from functools import partial

from reportlab.pdfgen.canvas import Canvas

from watcher.align.pages import TestSheet, pt, set_text
from watcher.align.register.target import Target
from watcher.align.turn.turning import Letter
from watcher.instructions.print_words import sides_setting
from watcher.instructions.style import BOLD
from watcher.instructions.words import plain, size_in_both
from watcher.layout.backs import box_behind
from watcher.layout.geometry import Box
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import Duplex, Edge

FIRST, SECOND = "FIRST SHEET", "SECOND SHEET"
_LETTER_MM = Fraction(15)
_ARROW_WIDE_MM, _ARROW_HIGH_MM = Fraction(16), Fraction(24)
_CLEAR_MM = Fraction(3)


def turn_pages(target: Target, printer: PrinterSettings, sheet: SheetSettings) -> TestSheet:
    """Give the turn test as it is printed, within what both faces can print by the register target of the sheet."""
    room = target.printable.grown(-_CLEAR_MM)
    room_behind = box_behind(room, target.sheet, target.flip)
    middle = _middle(room, beside=_LETTER_MM, above=_LETTER_MM)
    middle_behind = _middle(room_behind, beside=Fraction(4), above=_ARROW_HIGH_MM)

    def front(name: str, canvas: Canvas) -> None:
        for letter in Letter:
            _letter(canvas, letter, room)
        set_text(canvas, middle, [*_name(name), *_front_words(printer, sheet)])

    def back(name: str, canvas: Canvas) -> None:
        _arrow(canvas, room_behind)
        set_text(canvas, middle_behind, [*_name(name), *_back_words(printer, sheet, name)])

    by_hand = printer.duplex is Duplex.MANUAL
    first = FIRST if by_hand else ""
    return TestSheet(
        size=sheet.size,
        title="Turn test",
        front=partial(front, first),
        back=partial(back, first),
        second=(partial(front, SECOND), partial(back, SECOND)) if by_hand else None,
        duplex=printer.duplex,
        flip=printer.chosen_flip or target.flip,
    )


def _name(name: str) -> list[tuple[str, str]]:
    return [("sheet", name)] if name else []


def _middle(room: Box, beside: Fraction, above: Fraction) -> Box:
    gap = Fraction(8)
    return Box(room.left + beside + gap, room.bottom + above + gap, room.right - beside - gap, room.top - above - gap)


def _letter(canvas: Canvas, letter: Letter, room: Box) -> None:
    """Draw a letter in the middle of its edge, upright as the front is read."""
    half = _LETTER_MM / 2
    x, y = {
        Edge.TOP: (room.centre.x, room.top - half),
        Edge.RIGHT: (room.right - half, room.centre.y),
        Edge.BOTTOM: (room.centre.x, room.bottom + half),
        Edge.LEFT: (room.left + half, room.centre.y),
    }[letter.edge]
    size = pt(_LETTER_MM) / 0.73  # capitals of the font are 0.73 of its size
    canvas.setFont(BOLD, size)
    canvas.drawCentredString(pt(x), pt(y - half), str(letter))


def _arrow(canvas: Canvas, room: Box) -> None:
    """Draw a solid arrow that points to the top edge."""
    centre, top = room.centre.x, room.top
    low, neck = top - _ARROW_HIGH_MM, top - _ARROW_WIDE_MM * 3 / 4
    half, shaft = _ARROW_WIDE_MM / 2, _ARROW_WIDE_MM / 6
    outline = [
        (centre, top),
        (centre + half, neck),
        (centre + shaft, neck),
        (centre + shaft, low),
        (centre - shaft, low),
        (centre - shaft, neck),
        (centre - half, neck),
    ]
    path = canvas.beginPath()
    path.moveTo(pt(outline[0][0]), pt(outline[0][1]))
    for x, y in outline[1:]:
        path.lineTo(pt(x), pt(y))
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)


def _front_words(printer: PrinterSettings, sheet: SheetSettings) -> list[tuple[str, str]]:
    words = [
        ("title", f"Turn test, front: {plain(printer.name)}, {plain(sheet.name)}"),
        ("what", f"Sheet {size_in_both(sheet.size)}"),
    ]
    chosen = printer.chosen_flip
    setting = sides_setting(chosen, printer.duplex, sheet.size) if chosen else "both sides"
    if printer.duplex is Duplex.AUTOMATIC:
        return [
            *words,
            ("step", f"Printed at actual size (100 %); {setting}."),
            ("step", "The questions on the screen ask for these letters and for your pencil marks 1 and 2."),
        ]
    return [
        *words,
        ("step", f"Printed at actual size (100 %), {setting}."),
        (
            "step",
            "Two sheets are printed. Put both back in together, one upon the other as they came out, as you are used "
            "to, and note two things before they go in:",
        ),
        ("step", "<b>Do the letters face up or down? Which letter's edge goes in first?</b>"),
        ("step", "Then print the file of the backs."),
    ]


def _back_words(printer: PrinterSettings, sheet: SheetSettings, name: str) -> list[tuple[str, str]]:
    other = [("step", "<b>Which sheet do the letters belong to, the first or the second?</b>")] if name else []
    return [
        ("title", f"Turn test, back: {plain(printer.name)}, {plain(sheet.name)}"),
        (
            "step",
            "Turn to the letters, hold the sheet so that they can be read, and look through it against the light.",
        ),
        ("step", "<b>Which letter lies behind the arrow?</b>"),
        *other,
    ]
