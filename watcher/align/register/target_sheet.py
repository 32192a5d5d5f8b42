"""Draw the register target: crosses on the front, scales on the back, and how to read them."""

from fractions import Fraction

from reportlab.pdfgen.canvas import Canvas

from watcher.align.pages import TestSheet, pt, set_text
from watcher.align.register.dot_grid import LABEL_DOT_MM, bit_places, grid_middles
from watcher.align.register.label import Label, label_of, to_bits
from watcher.align.register.target import (
    DOT_RADIUS_MM,
    RING_WIDTH_MM,
    SCALE_REACH_MM,
    SCALE_STEP_MM,
    TEXT_AWAY_MM,
    Target,
    ring_radius,
)
from watcher.instructions.print_words import sides_setting
from watcher.instructions.style import BOLD, SANS
from watcher.instructions.words import plain, size_in_both
from watcher.layout.geometry import Box, Point
from watcher.layout.register.alignment import Correction
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.sheet.draw.ruler import LONG_RULER, RULER_THICKNESS_MM, ruler_strip
from watcher.terms import Side
from watcher.units import show_mm

_CROSS_MM = Fraction("4.5")  # each arm
_HAIR_PT, _AXIS_PT = 0.2, 0.3
_HALF_AXES = ((1, 0), (0, 1), (-1, 0), (0, -1))
_TICKS = ((2, Fraction("1.4")), (1, Fraction("1.1")))  # every so many mm: how long
_SHORT_TICK_MM = Fraction("0.6")
_FIGURE_EVERY_MM, _FIGURE_GAP_MM = 2, Fraction("1.1")
_DOT_PT = 0.35
_FIGURE_PT, _SIGN_PT, _WORD_PT, _NUMBER_PT = 5.0, 5.0, 6.5, 13.0
_GAP_MM = Fraction("0.7")


def target_pages(
    target: Target,
    printer: PrinterSettings,
    sheet: SheetSettings,
    proof: tuple[Correction, str] | None = None,
    *,
    run: int = 0,
) -> TestSheet:
    """Give the register target as it is printed.

    Args:
        target: where the marks stand.
        printer: what it is for.
        sheet: likewise.
        proof: a correction that the back page is printed with, and its date, to see that it is right. None: as the
            printer prints, which is what readings are taken from.
        run: number of the files; a sheet's two sides carry the same.
    """
    correction = proof[0] if proof else None
    what = "Proof" if proof else "Register target"

    def front(canvas: Canvas) -> None:
        for mark in target.marks:
            _cross(canvas, mark.front)
            _number(canvas, mark.front, mark.number, Side.FRONT)
        _label(canvas, target, label_of(target, Side.FRONT, run, correction))
        words = _front_words(target, printer, sheet)
        _page(canvas, target, Side.FRONT, [_title(f"{what}, front", printer, sheet, run), *words])

    def back(canvas: Canvas) -> None:
        for mark in target.marks:
            _scale(canvas, mark.back)
            _number(canvas, mark.back, mark.number, Side.BACK)
        _label(canvas, target, label_of(target, Side.BACK, run, correction))
        words = _proof_words(proof[1]) if proof else _back_words()
        _page(canvas, target, Side.BACK, [_title(f"{what}, back", printer, sheet, run), *words])
        if not proof:
            _table(canvas, target)

    return TestSheet(
        size=sheet.size,
        title=what,
        front=front,
        back=back,
        duplex=printer.duplex,
        flip=printer.chosen_flip or target.flip,
        correction=correction,
    )


def _page(canvas: Canvas, target: Target, side: Side, words: list[tuple[str, str]]) -> None:
    """Draw the rings, the dot, the text and the ruler of a page."""
    canvas.setLineWidth(pt(RING_WIDTH_MM))
    for mark in target.marks:
        place = mark.on(side)
        canvas.circle(pt(place.x), pt(place.y), pt(ring_radius(side)))
    dot = target.dot(side)
    canvas.circle(pt(dot.x), pt(dot.y), pt(DOT_RADIUS_MM), stroke=0, fill=1)
    upper, lower = text_boxes(target, side)
    set_text(canvas, upper, words)
    if side is Side.FRONT and _has_ruler(target):
        _ruler(canvas, lower)


def _label(canvas: Canvas, target: Target, label: Label) -> None:
    """Draw the dots that say what the page is, in both places."""
    for middle in grid_middles(target, label.side):
        for bit, (left, right) in zip(to_bits(label), bit_places(), strict=True):
            place = left if bit else right
            canvas.circle(pt(middle.x + place.x), pt(middle.y + place.y), pt(LABEL_DOT_MM / 2), stroke=0, fill=1)


def _has_ruler(target: Target) -> bool:
    return text_boxes(target, Side.FRONT)[1].width >= LONG_RULER.length_mm


def text_boxes(target: Target, side: Side) -> tuple[Box, Box]:
    """Give the upper and the lower box between the rows of marks, where text can stand clear of the marks."""
    rows = sorted({mark.on(side).y for mark in target.marks}, reverse=True)
    columns = sorted({mark.on(side).x for mark in target.marks})
    ring = ring_radius(side) + RING_WIDTH_MM / 2  # no wider: outside the rings the paper stays blank for scans
    between = [
        Box(columns[0] - ring, low + TEXT_AWAY_MM, columns[-1] + ring, high - TEXT_AWAY_MM)
        for high, low in zip(rows, rows[1:], strict=False)
    ]
    if len(between) > 1:
        return between[0], between[1]
    whole = between[0]
    middle = whole.bottom + whole.height * 2 / 5
    return Box(whole.left, middle, whole.right, whole.top), Box(whole.left, whole.bottom, whole.right, middle)


def _cross(canvas: Canvas, at: Point) -> None:
    canvas.setLineWidth(_AXIS_PT)
    canvas.line(pt(at.x - _CROSS_MM), pt(at.y), pt(at.x + _CROSS_MM), pt(at.y))
    canvas.line(pt(at.x), pt(at.y - _CROSS_MM), pt(at.x), pt(at.y + _CROSS_MM))


def _scale(canvas: Canvas, at: Point) -> None:
    """Draw two axes with a line every 0.2 mm and a word at each end."""
    reach = Fraction(SCALE_REACH_MM)
    canvas.setLineWidth(_AXIS_PT)
    canvas.line(pt(at.x - reach), pt(at.y), pt(at.x + reach), pt(at.y))
    canvas.line(pt(at.x), pt(at.y - reach), pt(at.x), pt(at.y + reach))
    for along in _HALF_AXES:
        _ladder(canvas, at, along)
    _grid(canvas, at)
    _directions(canvas, at)


def _ladder(canvas: Canvas, at: Point, along: tuple[int, int]) -> None:
    """Draw the lines and figures of one half of an axis, on its left seen outwards: one half in each quarter."""
    right, up = along
    aside = (-up, right)
    canvas.setLineWidth(_HAIR_PT)
    canvas.setFont(SANS, _FIGURE_PT)
    for step in range(1, int(SCALE_REACH_MM / SCALE_STEP_MM) + 1):
        away = step * SCALE_STEP_MM
        length = _tick(away)
        x, y = at.x + right * away, at.y + up * away
        canvas.line(pt(x), pt(y), pt(x + aside[0] * length), pt(y + aside[1] * length))
        if away % _FIGURE_EVERY_MM == 0:
            out = length + _FIGURE_GAP_MM
            middle = (pt(x + aside[0] * out), pt(y + aside[1] * out) - _FIGURE_PT * 0.36)
            canvas.drawCentredString(*middle, str(away))


def _tick(away: Fraction) -> Fraction:
    return next((length for every, length in _TICKS if away % every == 0), _SHORT_TICK_MM)


def _grid(canvas: Canvas, at: Point) -> None:
    """Draw a fine dot at every whole millimetre off the axes, to lead the eye from a pin hole to both scales."""
    whole = [mm for mm in range(-SCALE_REACH_MM, SCALE_REACH_MM + 1) if mm]
    for across in whole:
        for up in whole:
            if across**2 + up**2 <= SCALE_REACH_MM**2:
                canvas.circle(pt(at.x + across), pt(at.y + up), _DOT_PT / 2, stroke=0, fill=1)


def _directions(canvas: Canvas, at: Point) -> None:
    """Write which way is plus, outside the ring."""
    canvas.setFont(BOLD, _WORD_PT)
    away = ring_radius(Side.BACK) + RING_WIDTH_MM / 2 + _GAP_MM
    half = _WORD_PT * 0.36
    canvas.drawString(pt(at.x + away), pt(at.y) - half, "+ right")
    canvas.drawRightString(pt(at.x - away), pt(at.y) - half, "\N{MINUS SIGN} left")
    canvas.drawCentredString(pt(at.x), pt(at.y + away), "+ up")
    canvas.drawCentredString(pt(at.x), pt(at.y - away) - 2 * half, "\N{MINUS SIGN} down")
    _signs(canvas, at)


def _signs(canvas: Canvas, at: Point) -> None:
    """Draw plus and minus at the ends of the axes, within the ring."""
    end = SCALE_REACH_MM + Fraction(1)
    canvas.setFont(BOLD, _SIGN_PT)
    for right, up in _HALF_AXES:
        sign = "+" if right + up > 0 else "\N{MINUS SIGN}"
        canvas.drawCentredString(pt(at.x + right * end), pt(at.y + up * end) - _SIGN_PT * 0.32, sign)


def _number(canvas: Canvas, at: Point, number: int, side: Side) -> None:
    canvas.setFont(BOLD, _NUMBER_PT)
    away = (ring_radius(side) + _GAP_MM) * 3 / 4
    canvas.drawRightString(pt(at.x - away) - 1, pt(at.y + away), str(number))


def _ruler(canvas: Canvas, box: Box) -> None:
    strip = ruler_strip()
    canvas.saveState()
    canvas.translate(pt(box.centre.x - LONG_RULER.length_mm / 2), pt(box.centre.y - RULER_THICKNESS_MM / 2))
    strip.draw(canvas)
    canvas.restoreState()


def _table(canvas: Canvas, target: Target) -> None:
    """Draw a table to write the readings into, with a pencil."""
    _, box = text_boxes(target, Side.BACK)
    row, wide = min(Fraction(9), box.height / (len(target.marks) + 1)), min(Fraction(34), box.width * 2 / 5)
    number = Fraction(14)
    left, top = box.centre.x - (number + 2 * wide) / 2, box.centre.y + row * (len(target.marks) + 1) / 2
    xs, ys = (
        [left, left + number, left + number + wide, left + number + 2 * wide],
        [top - row * line for line in range(len(target.marks) + 2)],
    )
    canvas.setLineWidth(_AXIS_PT)
    canvas.grid([pt(x) for x in xs], [pt(y) for y in ys])
    size = min(9.0, pt(row) * 0.55)
    canvas.setFont(SANS, size)
    heads = ("mark", "right + / left \N{MINUS SIGN}", "up + / down \N{MINUS SIGN}")
    numbers = [(str(mark.number), "", "") for mark in target.marks]
    for line, cells in enumerate([heads, *numbers]):
        for column, words in enumerate(cells):
            x = (xs[column] + xs[column + 1]) / 2
            canvas.drawCentredString(pt(x), pt(ys[line] - row / 2) - size * 0.36, words)


def _title(page: str, printer: PrinterSettings, sheet: SheetSettings, run: int) -> tuple[str, str]:
    return "title", f"{page}: {plain(printer.name)}, {plain(sheet.name)}, run {run}"


def _front_words(target: Target, printer: PrinterSettings, sheet: SheetSettings) -> list[tuple[str, str]]:
    flip = printer.chosen_flip
    setting = sides_setting(flip, printer.duplex, sheet.size) if flip else "both sides"
    return [
        ("what", f"Sheet {size_in_both(sheet.size)}"),
        ("step", f"1. Print at <b>actual size (100 %)</b>, never 'fit', never borderless; {setting}."),
        ("step", f"2. Measure {_what_to_measure(target)}. If it is not, the size setting is wrong."),
        ("step", "3. Turn the sheet over: the other side says how to read it."),
    ]


def _what_to_measure(target: Target) -> str:
    """Say what to measure for actual size: the ruler, or two crosses where it has no room."""
    if _has_ruler(target):
        return "the ruler below: it is exactly 100 mm, and 4 in"
    first = target.marks[0]
    last = [mark for mark in target.marks if mark.front.x == first.front.x][-1]
    return f"from cross 1 to cross {last.number}: it is exactly {show_mm(first.front.y - last.front.y)} mm"


def _back_words() -> list[tuple[str, str]]:
    return [
        (
            "step",
            "1. Hold the sheet against the light, <b>this side towards you</b>, these words upright. At every number "
            "the cross of the front shines through. On heavy stock push a pin straight through the middle of each "
            "cross, from the front, and read the hole.",
        ),
        (
            "step",
            "2. Is every number behind the same number? If not, stop, and do the turn test first.",
        ),
        (
            "step",
            "3. Read where the middle of the cross falls: first across, <b>right is plus, left is minus</b>; then "
            "<b>up is plus, down is minus</b>. From line to line is 0.2 mm, the long lines are whole millimetres; "
            "guess what lies between. Half a millimetre right and 0.3 down is "
            "+0.5,\N{NO-BREAK SPACE}\N{MINUS SIGN}0.3.",
        ),
    ]


def _proof_words(date: str) -> list[tuple[str, str]]:
    return [
        (
            "step",
            f"<b>Printed with the correction of {plain(date)}, to see that it is right.</b> Every cross of the front "
            "must now fall on the middle of its scale, give or take what the sheets differ among themselves.",
        ),
        (
            "step",
            "<b>Do not type in numbers from this sheet.</b> Readings are taken from the target without correction.",
        ),
    ]
