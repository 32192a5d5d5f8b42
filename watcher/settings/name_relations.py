"""Check that folders lie apart, and that what is named in one table is there in another."""

import os
from collections.abc import Iterator
from itertools import permutations
from pathlib import Path, PurePath

from watcher.settings import faults
from watcher.settings.fields import fold
from watcher.settings.folders import FolderSettings
from watcher.settings.tables import ParsedFile, pick


def check_default_card(parsed: ParsedFile) -> Iterator[str]:
    """Check that the default card is there, when the file names one; left at its default it may be missing."""
    defaults = parsed.defaults
    if "card" in defaults.written and defaults.sound("card") and not pick(parsed.cards, defaults.model.card):
        yield faults.not_there(("defaults", "card"), defaults.model.card, "card", parsed.cards)


def check_folders(parsed: ParsedFile) -> Iterator[str]:
    """Check that no folder is the same as another or lies inside one; one fault for each key."""
    read = parsed.folders
    places = {key: true_place(getattr(read.model, key)) for key in FolderSettings.model_fields if read.sound(key)}
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
        place = true_place(getattr(parsed.folders.model, key))
        if parsed.folders.sound(key) and place in true_place(parsed.path).parents:
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
        if card.sound("sheet") and not pick(parsed.sheets, card.model.sheet):
            yield faults.not_there((*card.key, "sheet"), card.model.sheet, "sheet", parsed.sheets)


def check_printer_of_sheet(parsed: ParsedFile) -> Iterator[str]:
    """Check that each sheet's printer exists."""
    for sheet in parsed.sheets.values():
        if sheet.sound("printer") and not pick(parsed.printers, sheet.model.printer):
            yield faults.not_there((*sheet.key, "printer"), sheet.model.printer, "printer", parsed.printers)


def check_cutter_of_sheet(parsed: ParsedFile) -> Iterator[str]:
    """Check that each sheet's cutter exists."""
    for sheet in parsed.sheets.values():
        cutter = sheet.model.cutter
        if cutter and sheet.sound("cutter") and not pick(parsed.cutters, cutter):
            yield faults.not_there((*sheet.key, "cutter"), cutter, "cutter", parsed.cutters)


def check_flip(parsed: ParsedFile) -> Iterator[str]:
    """Check that a printer of two-sided cards has a `flip`; one fault for each printer."""
    told: set[str] = set()
    for name, card in parsed.cards.items():
        sheet = pick(parsed.sheets, card.model.sheet) if card.sound("sheet", "sides") else None
        printer = pick(parsed.printers, sheet.model.printer) if sheet and sheet.sound("printer") else None
        if printer is None or card.model.sides == 1 or not printer.sound("flip") or printer.model.flip:
            continue
        if printer.model.name not in told:
            told.add(printer.model.name)
            way_out = f'the card {faults.show(name)} has two sides: write flip = "long-edge" or flip = "short-edge"'
            yield faults.missing((*printer.key, "flip"), way_out)


def true_place(path: Path) -> PurePath:
    """The folder with links resolved and casefolded, since many file systems and all sync programs ignore case."""
    return PurePath(fold(os.path.realpath(path)))


NAME_CHECKS = (
    check_default_card,
    check_folders,
    check_settings_outside,
    check_side_words,
    check_cards_there,
    check_sheet_of_card,
    check_printer_of_sheet,
    check_cutter_of_sheet,
    check_flip,
)
