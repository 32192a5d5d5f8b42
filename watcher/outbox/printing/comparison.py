"""Compare what a printer says with the settings, sheet by sheet: each difference is one plain line.

The turn of a sheet is in no field of a printer; only the turn test knows it.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from watcher.layout.geometry import Margins
from watcher.outbox.printing.media import Media
from watcher.outbox.printing.paper_words import edges_of, known_sizes, listed, lying, rim_line, size_words
from watcher.outbox.printing.printer_says import PDF, PrinterSays
from watcher.records.plain_text import one_line
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import Duplex, Flip
from watcher.units import show_mm

LEAST_RIM_MM = Fraction(1, 100)  # a printer counts in hundredths
MUCH_RIM_MM = Fraction(1)  # what is worth a line where the settings leave more than the printer needs
_PLAIN = ("stationery", "stationery-lightweight", "stationery-fine")  # kinds of plain paper, PWG 5101.1 table 3
_HEAVY = re.compile(r"\b(card|cover|board)|\b(1[6-9]|[2-9][0-9])[0-9] ?(g|gsm)\b", re.IGNORECASE)
_EDGES = ("top", "right", "bottom", "left")
_WHERE = {"top": "at the top", "right": "at the right", "bottom": "at the bottom", "left": "at the left"}


class Weight(Enum):
    """What a difference means for sending."""

    REFUSED = "refused"  # sheets of these settings are not sent
    TRAY = "tray"  # they are not sent until somebody changes what lies in the printer
    NOTE = "note"  # they are sent


@dataclass(frozen=True, kw_only=True)
class Difference:
    """One difference: `message` says it, with the line to write."""

    weight: Weight
    message: str


def compare(printer: PrinterSettings, settings: Settings, says: PrinterSays) -> tuple[Difference, ...]:
    """Give every difference between what a printer says and its settings: the printer's own, then sheet by sheet."""
    sheets = [one for one in settings.sheets.values() if settings.printer_for(one) == printer]
    found = [*_of_printer(printer, settings, sheets, says)]
    for sheet in sheets:
        found += _of_sheet(sheet, printer, says)
    return tuple(found)


# -- the printer -------------------------------------------------------------------------------------------------------


def _of_printer(
    printer: PrinterSettings, settings: Settings, sheets: Iterable[SheetSettings], says: PrinterSays
) -> Iterator[Difference]:
    yield from _of_file(printer, says)
    if _two_sided(settings, sheets):
        yield from _of_sides(printer, says)


def _of_file(printer: PrinterSettings, says: PrinterSays) -> Iterator[Difference]:
    queue = (
        "Set up a queue for it in the printing system of this computer, and write into"
        f' [printers.{printer.name}]: queue = "ipp://localhost/printers/NAME"'
    )
    if PDF not in says.formats:
        yield _refused(f"{printer.name} does not take PDF files by itself. {queue}")
    if not says.scalings:
        yield _note(
            f"{printer.name} does not promise to print a page unscaled: it says nothing of that. Send one sheet first,"
            f" and measure what its instructions name. Where it scales: {queue[:1].lower()}{queue[1:]}"
        )
    elif "none" not in says.scalings:
        knows = listed(says.scalings)
        yield _refused(f"{printer.name} does not promise to print a page unscaled: it knows {knows}. {queue}")


def _two_sided(settings: Settings, sheets: Iterable[SheetSettings]) -> bool:
    names = {sheet.name for sheet in sheets}
    return any(card.sides == 2 and settings.sheet_for(card).name in names for card in settings.cards.values())


def _of_sides(printer: PrinterSettings, says: PrinterSays) -> Iterator[Difference]:
    if not says.sides or printer.flip is None:
        return
    turns = [flip for flip in Flip if flip.sides in says.sides]
    wanted = printer.chosen_flip
    assert wanted is not None
    if printer.duplex is Duplex.MANUAL:
        if turns:
            yield _note(
                f"{printer.name} can turn the sheets by itself. Where it takes your stock through its turn, write into"
                f' [printers.{printer.name}]: duplex = "automatic", and run: print-folder align {printer.name}'
            )
    elif not turns:
        yield _refused(
            f"{printer.name} does not print two sides by itself. Write into [printers.{printer.name}]:"
            ' duplex = "manual", and turn the stack by hand'
        )
    elif wanted not in turns:
        yield _refused(
            f"{printer.name} does not turn sheets on the {wanted.words}, only on the {turns[0].words}. Write into"
            f' [printers.{printer.name}]: flip = "{turns[0]}"'
        )


# -- a sheet -----------------------------------------------------------------------------------------------------------


def _of_sheet(sheet: SheetSettings, printer: PrinterSettings, says: PrinterSays) -> Iterator[Difference]:
    yield from _of_words(sheet, says)
    if says.sheets and not says.sheets_for(sheet.size):
        yield _refused(
            f"{sheet.name}: {printer.name} does not know a sheet of {size_words(sheet.size)}. It takes"
            f" {known_sizes(says.sheets)}. Add the size at the printer, or correct [sheets.{sheet.name}]: size"
        )
    else:
        yield from _of_rims(sheet, printer, says)
        yield from _of_feed(sheet, printer, says)
    yield from _of_ready(sheet, printer, says)


def _of_words(sheet: SheetSettings, says: PrinterSays) -> Iterator[Difference]:
    """Tray, stock and quality in the printer's own words."""
    for key, written, known in (("tray", sheet.tray, says.sources), ("stock", sheet.stock, says.kinds)):
        if written and known and written not in known:
            yield _refused(
                f'{sheet.name}: the printer knows no {key} "{written}". Write one of its own into'
                f" [sheets.{sheet.name}]: {key} = {listed(known, ' or ')}"
            )
    if sheet.quality and says.qualities and sheet.quality.number not in says.qualities:
        yield _refused(
            f'{sheet.name}: the printer has no quality "{sheet.quality}". Take quality out of [sheets.{sheet.name}], or'
            " write another"
        )


def _of_rims(sheet: SheetSettings, printer: PrinterSettings, says: PrinterSays) -> Iterator[Difference]:
    its = says.rim_for(sheet.size, sheet.tray, sheet.stock)
    if its is None:
        known = says.sheets_for(sheet.size, sheet.tray, sheet.stock)
        why = "only offers to print without any rim, which enlarges the page" if known else "does not tell"
        yield _note(
            f"{sheet.name}: {printer.name} {why}; the rim of the settings is taken as it is. The turn test shows it on"
            f" paper: print-folder align {printer.name}"
        )
        return
    yield from _of_rim(sheet, "unprintable", sheet.unprintable, its)
    if sheet.unprintable_back is not None:
        yield from _of_rim(sheet, "unprintable_back", sheet.unprintable_back, its)


def _of_rim(sheet: SheetSettings, key: str, ours: Margins, its: Margins) -> Iterator[Difference]:
    sides = tuple(zip(_EDGES, edges_of(ours), edges_of(its), strict=True))
    page = " of the back" if key == "unprintable_back" else ""
    small = [(edge, own, other) for edge, own, other in sides if other - own >= LEAST_RIM_MM]
    if small:
        said = " and ".join(
            f"{show_mm(other)} mm {_WHERE[edge]} (settings: {show_mm(own)} mm)" for edge, own, other in small
        )
        least = Margins(*(max(own, other) for _, own, other in sides))
        yield _refused(
            f"{sheet.name}: the printer leaves {said}{page} blank. Write into [sheets.{sheet.name}]:"
            f" {key} = {rim_line(least)}"
        )
    elif all(own - other >= MUCH_RIM_MM for _, own, other in sides):
        yield _note(
            f"{sheet.name}: the printer leaves less blank{page} than the settings do. To use all of the sheet, write"
            f" into [sheets.{sheet.name}]: {key} = {rim_line(its)}"
        )


def _of_feed(sheet: SheetSettings, printer: PrinterSettings, says: PrinterSays) -> Iterator[Difference]:
    """The edge that goes in first, where every tray for the sheet tells it and none agrees."""
    told = {one.lead_edge for one in says.sheets_for(sheet.size, sheet.tray, sheet.stock)}
    if len(told) == 1 and (edge := told.pop()) and edge != printer.feed:
        yield _note(
            f"{sheet.name}: the sheet goes into the printer with its {edge.replace('-', ' ')} first, the settings say"
            f' {printer.feed.replace("-", " ")}. Write into [printers.{printer.name}]: feed = "{edge}"'
        )


def _of_ready(sheet: SheetSettings, printer: PrinterSettings, says: PrinterSays) -> Iterator[Difference]:
    """What lies in the printer: the sheet's size, in its tray, of its stock, and in no second tray."""
    if says.ready is None:
        yield _note(
            f"{sheet.name}: {printer.name} does not tell what lies in it. Look into its tray before you send anything"
        )
        return
    there = says.ready_for(sheet.size, sheet.tray, sheet.stock)
    if not there:
        where = f" in its tray {sheet.tray}" if sheet.tray else ""
        what = f" of the stock {sheet.stock}" if sheet.stock else ""
        yield _tray(
            f"{sheet.name}: no sheet of {size_words(sheet.size)}{what} lies in {printer.name}{where}. There lies"
            f" {lying(says.ready)}. Put the right paper in, and tell the printer at its display"
        )
        return
    yield from _of_stock(sheet, there)
    if len({(one.source, one.kind) for one in there}) > 1:
        key, words = _to_choose(there)
        yield _refused(
            f"{sheet.name}: {size_words(sheet.size)} lies in more than one place: {lying(there)}. Write the one to use"
            f" into [sheets.{sheet.name}]: {key} = {listed(words, ' or ')}"
        )


def _to_choose(there: Iterable[Media]) -> tuple[str, list[str]]:
    """The key that tells the places apart, and what it may be: the tray where trays differ, else the stock."""
    trays = sorted({one.source for one in there if one.source})
    return ("tray", trays) if len(trays) > 1 else ("stock", sorted({one.kind for one in there if one.kind}))


def _of_stock(sheet: SheetSettings, there: Iterable[Media]) -> Iterator[Difference]:
    """Card that the printer takes for plain paper, which it would heat too little for."""
    plain = [one for one in there if one.kind in _PLAIN]
    if plain and sheet.stock is None and _HEAVY.search(sheet.paper):
        place = f" in its tray {one_line(plain[0].source)}" if plain[0].source else ""
        yield _note(
            f'{sheet.name}: your paper is "{sheet.paper}", and the printer takes what lies{place} for'
            f" {one_line(str(plain[0].kind))}. Tell it at its display what it is, or toner and ink do not hold as they"
            " should"
        )


def _refused(message: str) -> Difference:
    return Difference(weight=Weight.REFUSED, message=message)


def _tray(message: str) -> Difference:
    return Difference(weight=Weight.TRAY, message=message)


def _note(message: str) -> Difference:
    return Difference(weight=Weight.NOTE, message=message)
