"""The two pages of the turn test: a letter at each edge of the front, an arrow at the top of the back."""

from fractions import Fraction

from reportlab.pdfgen.canvas import Canvas

from watcher.align.pages import TestSheet, pt, set_text
from watcher.align.target import Target
from watcher.align.turn_test import Letter
from watcher.layout.backs import box_behind
from watcher.layout.geometry import Box
from watcher.outbox.instruction_style import BOLD
from watcher.outbox.instruction_words import plain, sides_setting, size_in_both
from watcher.settings.model import PrinterSettings, SheetSettings
from watcher.terms import Duplex, Edge

_LETTER_MM = Fraction(15)
_ARROW_WIDE_MM, _ARROW_HIGH_MM = Fraction(16), Fraction(24)
_CLEAR_MM = Fraction(3)


def turn_pages(target: Target, printer: PrinterSettings, sheet: SheetSettings) -> TestSheet:
    """The turn test as it is printed; what both faces can print is taken from the register target of the sheet."""
    room = target.printable.grown(-_CLEAR_MM)
    room_behind = box_behind(room, target.sheet, target.flip)
    middle = _middle(room, beside=_LETTER_MM, above=_LETTER_MM)
    middle_behind = _middle(room_behind, beside=Fraction(4), above=_ARROW_HIGH_MM)

    def front(canvas: Canvas) -> None:
        for letter in Letter:
            _letter(canvas, letter, room)
        set_text(canvas, middle, _front_words(printer, sheet))

    def back(canvas: Canvas) -> None:
        _arrow(canvas, room_behind)
        set_text(canvas, middle_behind, _back_words(printer, sheet))

    return TestSheet(
        size=sheet.size, title="Turn test", front=front, back=back, duplex=printer.duplex, flip=target.flip
    )


def _middle(room: Box, beside: Fraction, above: Fraction) -> Box:
    gap = Fraction(8)
    return Box(room.left + beside + gap, room.bottom + above + gap, room.right - beside - gap, room.top - above - gap)


def _letter(canvas: Canvas, letter: Letter, room: Box) -> None:
    """A letter in the middle of its edge, upright as the front is read."""
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
    """A solid arrow that points to the top edge."""
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
    setting = sides_setting(printer.flip, printer.duplex, sheet.size) if printer.flip else "both sides"
    if printer.duplex is Duplex.AUTOMATIC:
        return [
            *words,
            ("step", f"Printed at actual size (100 %); {setting}."),
            ("step", "The questions on the screen ask for these letters and for your pencil marks 1 and 2."),
        ]
    return [
        *words,
        ("step", f"Printed at actual size (100 %), {setting}."),
        ("step", "Now put this sheet back in as you are used to, and note two things before it goes in:"),
        ("step", "<b>Do the letters face up or down? Which letter's edge goes in first?</b>"),
        ("step", "Then print the file of the backs."),
    ]


def _back_words(printer: PrinterSettings, sheet: SheetSettings) -> list[tuple[str, str]]:
    return [
        ("title", f"Turn test, back: {plain(printer.name)}, {plain(sheet.name)}"),
        (
            "step",
            "Turn to the letters, hold the sheet so that they can be read, and look through it against the light.",
        ),
        ("step", "<b>Which letter lies behind the arrow?</b>"),
    ]
