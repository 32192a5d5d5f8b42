"""Draw the colour strip: greys and skin tones on one sheet, to keep beside the printer and compare with later.

The colours are the printer's own RGB, as art without a colour profile is printed.
"""

from collections.abc import Sequence
from fractions import Fraction

from reportlab.pdfgen.canvas import Canvas

from watcher.align.pages import TestSheet, pt, set_text
from watcher.errors import WrongUsage
from watcher.instructions.style import SANS
from watcher.instructions.words import plain, size_in_both
from watcher.layout.geometry import Box, Point
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import Flip, PrinterKind
from watcher.units import show_size

Rgb = tuple[int, int, int]

GREYS: tuple[tuple[str, Rgb], ...] = tuple(
    (f"{percent} %", (level, level, level)) for percent in range(0, 101, 10) for level in [round(255 - 2.55 * percent)]
)
# The ten tones of the Monk Skin Tone scale (Ellis Monk, published under CC BY 4.0), as sRGB.
_MONK = ("f6ede4", "f3e7db", "f7ead0", "eadaba", "d7bd96", "a07e56", "825c43", "604134", "3a312a", "292420")
SKIN_TONES: tuple[tuple[str, Rgb], ...] = tuple(
    (str(number), (int(tone[:2], 16), int(tone[2:4], 16), int(tone[4:], 16)))
    for number, tone in enumerate(_MONK, start=1)
)
_CLEAR_MM = Fraction(3)
_LEAST_MM = Fraction(80)  # of the printable width and height: below it no word could be read
_WORDS_MM = Fraction(48)
_FORM_MM = Fraction(26)
_HIGHEST_ROW_MM = Fraction(66)
_CAPTION_MM = Fraction(6)
_CAPTION_PT = 11.0


def colour_strip(printer: PrinterSettings, sheet: SheetSettings) -> TestSheet:
    """Give the colour strip as it is printed, on one side, within the rim of the sheet.

    Raises:
        WrongUsage: the sheet is too small for it.
    """
    room = Box.at(Fraction(0), Fraction(0), sheet.size).within(sheet.unprintable).grown(-_CLEAR_MM)
    if min(room.width, room.height) < _LEAST_MM:
        size = show_size(sheet.size.width, sheet.size.height)
        raise WrongUsage(f"The sheet {sheet.name} of {size} is too small for a colour strip; take a larger one.")

    def front(canvas: Canvas) -> None:
        words = Box(room.left, room.top - _share(_WORDS_MM, room), room.right, room.top)
        set_text(canvas, words, _words(printer, sheet))
        form_mm = _share(_FORM_MM, room)
        row = min((words.bottom - room.bottom - form_mm) / 2, _share(_HIGHEST_ROW_MM, room))
        for number, patches in enumerate((GREYS, SKIN_TONES)):
            top = words.bottom - number * row
            _row(canvas, patches, Box(room.left, top - row, room.right, top))
        end = words.bottom - 2 * row - _CAPTION_MM
        set_text(canvas, Box(room.left, max(room.bottom, end - form_mm), room.right, end), _form(printer))

    return TestSheet(
        size=sheet.size,
        title="Colour strip",
        front=front,
        back=None,
        duplex=printer.duplex,
        flip=printer.chosen_flip or Flip.LONG_EDGE,
    )


def _share(length: Fraction, room: Box) -> Fraction:
    """A height that words take on a letter or A4 sheet, less on a lower one and more on a larger one."""
    return length * min(Fraction(3, 2), room.height / 270)


def _row(canvas: Canvas, patches: Sequence[tuple[str, Rgb]], room: Box) -> None:
    """Draw patches side by side, without a line between them, each with its caption below."""
    width = room.width / len(patches)
    canvas.setFont(SANS, min(_CAPTION_PT, pt(width) / 4))
    for number, (caption, colour) in enumerate(patches):
        corner = Point(room.left + number * width, room.bottom + _CAPTION_MM)
        canvas.setFillColorRGB(*(level / 255 for level in colour))
        canvas.rect(pt(corner.x), pt(corner.y), pt(width), pt(room.top - corner.y), stroke=0, fill=1)
        canvas.setFillGray(0)
        canvas.drawCentredString(pt(corner.x + width / 2), pt(room.bottom + _CAPTION_MM / 3), caption)
    canvas.setLineWidth(0.25)  # so that the lightest patch has an end on white paper
    canvas.rect(pt(room.left), pt(room.bottom + _CAPTION_MM), pt(room.width), pt(room.height - _CAPTION_MM))


def _words(printer: PrinterSettings, sheet: SheetSettings) -> list[tuple[str, str]]:
    paper = f", {plain(sheet.paper)}" if sheet.paper else ""
    dry = " Let it dry first." if printer.kind is PrinterKind.INKJET else ""
    return [
        ("title", f"Colour strip: {plain(printer.name)}, {plain(sheet.name)}"),
        ("what", f"Sheet {size_in_both(sheet.size)}{paper}"),
        (
            "step",
            "Keep this sheet beside the printer, out of the light. Whenever the paper or the "
            f"{_supply(printer)} is a new one, print it again and lay the two side by side in daylight: what differs "
            f"here differs on cards.{dry}",
        ),
        ("step", "Greys should look grey all along, neither warm nor cold. Skin tones are the ten of the Monk scale."),
    ]


def _form(printer: PrinterSettings) -> list[tuple[str, str]]:
    line = "_" * 14
    return [
        ("step", f"Printed on {line}  paper from {line}  {_supply(printer)} from {line}"),
        ("what", "A sheet to compare with: it makes no colour profile, and it promises no colour."),
    ]


def _supply(printer: PrinterSettings) -> str:
    return "ink" if printer.kind is PrinterKind.INKJET else "toner"
