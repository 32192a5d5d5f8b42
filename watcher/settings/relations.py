"""Check settings against each other: each check yields the faults of settings that do not agree.

A check is a small function over the whole parsed file. It passes over values that are already refused by themselves.
"""

import os
import re
from collections.abc import Callable, Iterator, Mapping
from itertools import permutations
from pathlib import Path, PurePath

from watcher.layout.geometry import Margins, Size
from watcher.settings import faults
from watcher.settings.fields import fold
from watcher.settings.model import FolderSettings
from watcher.settings.papers import ambiguous_on_inch_paper, is_paper_name
from watcher.settings.press_profile import NoPressProfile, read_press_profile
from watcher.settings.tables import ParsedFile, ParsedTable, TableT
from watcher.settings.values import (
    LONGEST_CARD_MM,
    LONGEST_SHEET_MM,
    SMALLEST_CARD_MM,
    SMALLEST_SHEET_MM,
    is_in_inches,
    show_exact_length,
    sizes_meant,
)
from watcher.terms import Backs, Edge, Engine, Fold, MakeBleed, Marks, Send
from watcher.units import show_size

Check = Callable[[ParsedFile], Iterator[str]]

_BARE_A_NAME = re.compile(r"\s*a[0-9]\s*", re.IGNORECASE)
_UPRIGHT_EDGES = (Edge.LEFT, Edge.RIGHT)


def relation_faults(parsed: ParsedFile) -> list[str]:
    """Every fault that shows only when settings are compared with each other."""
    return [fault for check in CHECKS for fault in check(parsed)]


def check_default_card(parsed: ParsedFile) -> Iterator[str]:
    """Check that the default card is there, when the file names one; left at its default it may be missing."""
    defaults = parsed.defaults
    if "card" in defaults.written and defaults.sound("card") and not _pick(parsed.cards, defaults.model.card):
        yield faults.not_there(("defaults", "card"), defaults.model.card, "card", parsed.cards)


def check_folders(parsed: ParsedFile) -> Iterator[str]:
    """Check that no folder is the same as another or lies inside one; one fault for each key."""
    read = parsed.folders
    places = {key: _true_place(getattr(read.model, key)) for key in FolderSettings.model_fields if read.sound(key)}
    clashes: dict[str, str] = {}
    for outer, inner in permutations(places, 2):
        if places[outer] in (places[inner], *places[inner].parents):
            key, other = (inner, outer) if inner in read.written else (outer, inner)
            if clashes.get(other) != key:
                clashes.setdefault(key, other)
    for key, other in clashes.items():
        yield read.fault(key, f"use a folder that is neither {other}, nor inside it, nor around it")


def check_settings_outside(parsed: ParsedFile) -> Iterator[str]:
    """Check that the settings file is in none of the folders, where it would be taken for art or moved."""
    for key in FolderSettings.model_fields:
        place = _true_place(getattr(parsed.folders.model, key))
        if parsed.folders.sound(key) and place in _true_place(parsed.path).parents:
            yield parsed.folders.fault(key, f"use a folder that does not hold {parsed.path.name} itself")


def check_side_words(parsed: ParsedFile) -> Iterator[str]:
    """Check that no word stands for both front and back."""
    names = parsed.names
    if not names.sound("front", "back"):
        return
    fronts = {fold(word) for word in names.model.front}
    both = [word for word in names.model.back if fold(word) in fronts]
    if both:
        key, other = ("back", "front") if "back" in names.written else ("front", "back")
        yield names.fault(key, f'use other words than those of {other}; "{both[0]}" is in both')


def check_cards_there(parsed: ParsedFile) -> Iterator[str]:
    """Check that there is a card to make."""
    if not parsed.cards:
        yield "no card is set up; write at least one, such as [cards.invitation] with trim and sheet"


def check_sheet_of_card(parsed: ParsedFile) -> Iterator[str]:
    """Check that each card's sheet exists."""
    for card in parsed.cards.values():
        if card.sound("sheet") and not _pick(parsed.sheets, card.model.sheet):
            yield faults.not_there((*card.key, "sheet"), card.model.sheet, "sheet", parsed.sheets)


def check_printer_of_sheet(parsed: ParsedFile) -> Iterator[str]:
    """Check that each sheet's printer exists."""
    for sheet in parsed.sheets.values():
        if sheet.sound("printer") and not _pick(parsed.printers, sheet.model.printer):
            yield faults.not_there((*sheet.key, "printer"), sheet.model.printer, "printer", parsed.printers)


def check_cutter_of_sheet(parsed: ParsedFile) -> Iterator[str]:
    """Check that each sheet's cutter exists."""
    for sheet in parsed.sheets.values():
        cutter = sheet.model.cutter
        if cutter and sheet.sound("cutter") and not _pick(parsed.cutters, cutter):
            yield faults.not_there((*sheet.key, "cutter"), cutter, "cutter", parsed.cutters)


def check_flip(parsed: ParsedFile) -> Iterator[str]:
    """Check that a printer of two-sided cards has a `flip`; one fault for each printer."""
    told: set[str] = set()
    for name, card in parsed.cards.items():
        sheet = _pick(parsed.sheets, card.model.sheet) if card.sound("sheet", "sides") else None
        printer = _pick(parsed.printers, sheet.model.printer) if sheet and sheet.sound("printer") else None
        if printer is None or card.model.sides == 1 or not printer.sound("flip") or printer.model.flip:
            continue
        if printer.model.name not in told:
            told.add(printer.model.name)
            way_out = f'the card {faults.show(name)} has two sides: write flip = "long-edge" or flip = "short-edge"'
            yield faults.missing((*printer.key, "flip"), way_out)


def check_resolutions(parsed: ParsedFile) -> Iterator[str]:
    """Check that `hold_ppi` is not above `warn_ppi`."""
    for card in parsed.cards.values():
        warn, hold = card.model.warn_ppi, card.model.hold_ppi
        if not card.sound("warn_ppi", "hold_ppi") or hold <= warn:
            continue
        if "hold_ppi" in card.written:
            yield card.fault("hold_ppi", f"use {warn} or less, which is warn_ppi")
        else:
            yield card.fault("warn_ppi", f"use {hold} or more, which is hold_ppi, or write a lower hold_ppi too")


def check_units(parsed: ParsedFile) -> Iterator[str]:
    """Check that no size is so small or so large that another unit must be meant."""
    for tables, key, least, most in (
        (parsed.cards, "trim", SMALLEST_CARD_MM, LONGEST_CARD_MM),
        (parsed.sheets, "size", SMALLEST_SHEET_MM, LONGEST_SHEET_MM),
    ):
        for table in tables.values():
            size, written = getattr(table.model, key), table.written.get(key)
            if table.sound(key) and isinstance(written, str) and not is_paper_name(written):
                meant = sizes_meant(written, least, most)
                if meant and (max(size.width, size.height) < least or min(size.width, size.height) > most):
                    yield table.fault(key, f"did you mean {meant}?")


def check_least_bleed(parsed: ParsedFile) -> Iterator[str]:
    """Check that `least_bleed` is not above `bleed`."""
    for card in parsed.cards.values():
        if card.sound("bleed", "least_bleed") and card.model.least_bleed > card.model.bleed:
            yield card.fault(
                "least_bleed", f"use {show_exact_length(card.model.bleed, card.model.bleed)} or less, which is bleed"
            )


def check_safe(parsed: ParsedFile) -> Iterator[str]:
    """Check that the safe zone leaves some card inside it."""
    for card in parsed.cards.values():
        trim, safe = card.model.trim, card.model.safe
        if max(trim.width, trim.height) < SMALLEST_CARD_MM:  # told as a size in the wrong unit
            continue
        if card.sound("trim", "safe") and 2 * safe >= min(trim.width, trim.height):
            side = min(trim.width, trim.height)
            half = show_exact_length(side / 2, safe if "safe" in card.written else side)
            if "safe" in card.written:
                yield card.fault("safe", f"use less than {half}, half the smaller side of the card")
            else:
                yield card.fault(
                    "trim", f"write a safe of less than {half} too; {show_exact_length(safe, safe)} leaves nothing"
                )


def check_common_sides(parsed: ParsedFile) -> Iterator[str]:
    """Check that only a two-sided card has a common side, and only one."""
    for card in parsed.cards.values():
        model = card.model
        if not card.sound("sides", "common_back", "common_front"):
            continue
        if model.common_back and model.common_front:
            yield card.fault("common_back", "leave out this or common_front, for one side must come")
        elif model.sides == 1 and model.common_back:
            yield card.fault("common_back", "leave it out, or write sides = 2; a card of one side has no back")
        elif model.sides == 1 and model.common_front:
            yield card.fault("common_front", "leave it out, or write sides = 2; with one side nothing would be left")


def check_back_quarter(parsed: ParsedFile) -> Iterator[str]:
    """Check that only a two-sided card has a `back_quarter`."""
    for card in parsed.cards.values():
        if card.sound("sides", "back_quarter") and card.model.sides == 1 and card.model.back_quarter:
            yield card.fault("back_quarter", "leave it out, or write sides = 2; a card of one side has no back")


def check_bare_edges(parsed: ParsedFile) -> Iterator[str]:
    """Check that a card printed without bleed is on a sheet with marks, since nothing else shows where to cut."""
    for card in parsed.cards.values():
        sheet = _pick(parsed.sheets, card.model.sheet) if card.sound("sheet", "make_bleed", "bleed") else None
        if not sheet or not sheet.sound("marks") or not card.model.bleed:
            continue
        if card.model.make_bleed is MakeBleed.NONE and sheet.model.marks is Marks.NONE:
            way_out = f'use "mirror" or "extend", or write marks = "crop" for the sheet {faults.show(sheet.model.name)}'
            yield card.fault("make_bleed", f"{way_out}; without bleed the cut must be marked")


def check_fold(parsed: ParsedFile) -> Iterator[str]:
    """Check that a folded card has no `backs`: the fold decides which way up its inside stands."""
    for card in parsed.cards.values():
        fold, backs = card.model.fold, card.model.backs
        if not fold or not card.sound("fold", "backs") or "backs" not in card.written:
            continue
        opens = Backs.HEAD_TO_HEAD if fold is Fold.LEFT else Backs.HEAD_TO_TOE
        if backs is not opens:
            yield card.fault("backs", f'leave it out; fold = "{fold}" opens {opens} by itself')


def check_corner(parsed: ParsedFile) -> Iterator[str]:
    """Check that a corner is no larger than the card allows."""
    for card in parsed.cards.values():
        half = min(card.model.trim.width, card.model.trim.height) / 2
        most = show_exact_length(half, card.model.corner)
        if card.sound("trim", "corner") and card.model.corner > half:
            yield card.fault("corner", f"use {most} or less, half the smaller side of the card")


def check_envelope(parsed: ParsedFile) -> Iterator[str]:
    """Check that an envelope's size is not the bare name of a sheet, such as `A6`."""
    for card in parsed.cards.values():
        written = card.written.get("envelope")
        if isinstance(written, str) and card.sound("envelope") and _BARE_A_NAME.fullmatch(written):
            bare = written.strip().upper()
            yield card.fault("envelope", f'this is a sheet of paper; write "{bare} envelope", or its width x height')


def check_bare_names(parsed: ParsedFile) -> Iterator[str]:
    """Check that a card on inch paper has no size name that means both an ISO sheet and a note card."""
    for card in parsed.cards.values():
        sheet = _pick(parsed.sheets, card.model.sheet) if card.sound("sheet", "trim") else None
        trim, size = card.written.get("trim"), sheet.written.get("size") if sheet and sheet.sound("size") else None
        if isinstance(trim, str) and isinstance(size, str) and is_in_inches(size):
            way_out = ambiguous_on_inch_paper(trim)
            if way_out:
                yield card.fault("trim", way_out)


def check_rims(parsed: ParsedFile) -> Iterator[str]:
    """Check that the rim leaves some paper to print on."""
    for sheet in parsed.sheets.values():
        for key in ("unprintable", "unprintable_back"):
            rim = getattr(sheet.model, key)
            if max(sheet.model.size.width, sheet.model.size.height) < SMALLEST_SHEET_MM:  # told as a wrong unit
                continue
            if rim and sheet.sound("size", key) and _nothing_left(sheet.model.size, rim):
                size = show_size(sheet.model.size.width, sheet.model.size.height)
                if key in sheet.written:
                    yield sheet.fault(key, f"use less; nothing is left of {size}")
                else:
                    yield sheet.fault("size", f"write a smaller {key} too; nothing is left of {size}")


def check_edges(parsed: ParsedFile) -> Iterator[str]:
    """Check that the leading edge and the guide edge meet in a corner."""
    for printer in parsed.printers.values():
        lead, guide = printer.model.lead, printer.model.guide
        if lead and guide and printer.sound("lead", "guide") and (lead in _UPRIGHT_EDGES) == (guide in _UPRIGHT_EDGES):
            choices = (Edge.TOP, Edge.BOTTOM) if lead in _UPRIGHT_EDGES else _UPRIGHT_EDGES
            yield printer.fault("guide", f'use "{choices[0]}" or "{choices[1]}", an edge that meets lead = "{lead}"')


def check_alignments(parsed: ParsedFile) -> Iterator[str]:
    """Check that each correction belongs to a sheet that exists."""
    for printer in parsed.printers.values():
        align = printer.written.get("align")
        for name, written in align.items() if isinstance(align, Mapping) else ():
            if not _pick(parsed.sheets, name):
                choices = " or ".join(faults.show(sheet) for sheet in parsed.sheets) or "a sheet of this file"
                yield faults.fault((*printer.key, "align", name), written, f"no sheet has this name; use {choices}")


def check_engine(parsed: ParsedFile) -> Iterator[str]:
    """Check that a cluster has an address."""
    service = parsed.service
    if service.sound("engine", "scheduler") and service.model.engine is Engine.DASK and not service.model.scheduler:
        yield service.fault("engine", 'write the address of the scheduler too: scheduler = "tcp://HOST:8786"')


def check_press(parsed: ParsedFile) -> Iterator[str]:
    """Check that `output_profile` is the profile of a press, and that nothing is converted without one."""
    for printer in parsed.printers.values():
        if not printer.sound("output_profile"):
            continue
        if printer.model.output_profile is None:
            if printer.sound("convert") and printer.model.convert:
                yield printer.fault("convert", "write the colour profile of the press too: output_profile")
            continue
        try:
            read_press_profile(printer.model.output_profile)
        except NoPressProfile as found:
            way_out = f"the file {found}; name the colour profile (.icc) of the press, or leave this out"
            yield printer.fault("output_profile", way_out)


def check_queues(parsed: ParsedFile) -> Iterator[str]:
    """Check that what belongs to a queue has one, and that a trusted certificate belongs to an encrypted one."""
    for printer in parsed.printers.values():
        if not printer.sound("queue"):
            continue
        queue = printer.model.queue
        for key in ("send", "fingerprint", "login_file"):
            if not queue and key in printer.written and printer.sound(key) and printer.written[key] != Send.ASKED:
                yield printer.fault(key, 'write the address of the printer too: queue = "ipps://HOST/ipp/print"')
        if queue and printer.sound("fingerprint") and printer.model.fingerprint and not queue.startswith("ipps"):
            yield printer.fault(
                "queue", "use ipps://; with ipp:// no certificate is shown that could be the one you trust"
            )


def check_login_files(parsed: ParsedFile) -> Iterator[str]:
    """Check that names and passwords lie where no sync program takes them along."""
    folders = [parsed.path.parent]
    folders += [getattr(parsed.folders.model, key) for key in FolderSettings.model_fields if parsed.folders.sound(key)]
    for printer in parsed.printers.values():
        login = printer.model.login_file
        if not login or not printer.sound("login_file"):
            continue
        if any(_true_place(folder) in _true_place(login).parents for folder in folders):
            yield printer.fault("login_file", "use a file outside the print folder, which others may see or copy")


CHECKS: tuple[Check, ...] = (
    check_default_card,
    check_folders,
    check_settings_outside,
    check_side_words,
    check_cards_there,
    check_sheet_of_card,
    check_printer_of_sheet,
    check_cutter_of_sheet,
    check_flip,
    check_resolutions,
    check_units,
    check_least_bleed,
    check_safe,
    check_common_sides,
    check_back_quarter,
    check_bare_edges,
    check_fold,
    check_corner,
    check_envelope,
    check_bare_names,
    check_rims,
    check_edges,
    check_alignments,
    check_press,
    check_engine,
    check_queues,
    check_login_files,
)


def _pick(tables: Mapping[str, ParsedTable[TableT]], name: str) -> ParsedTable[TableT] | None:
    """The table of that name, whatever its case."""
    return next((table for known, table in tables.items() if fold(known) == fold(name)), None)


def _nothing_left(size: Size, rim: Margins) -> bool:
    return rim.left + rim.right >= size.width or rim.top + rim.bottom >= size.height


def _true_place(path: Path) -> PurePath:
    """The folder with links resolved and casefolded, since many file systems and all sync programs ignore case."""
    return PurePath(fold(os.path.realpath(path)))
