"""Check the settings of cards and sheets against each other: sizes, sides, and what must fit inside what."""

import re
from collections.abc import Iterator

from watcher.layout.geometry import Margins, Size
from watcher.settings import faults
from watcher.settings.papers import ambiguous_on_inch_paper, is_paper_name
from watcher.settings.tables import ParsedFile, pick
from watcher.settings.values import (
    LONGEST_CARD_MM,
    LONGEST_SHEET_MM,
    SMALLEST_CARD_MM,
    SMALLEST_SHEET_MM,
    is_in_inches,
    show_exact_length,
    sizes_meant,
)
from watcher.terms import Backs, Fold, MakeBleed, Marks
from watcher.units import show_size

_BARE_A_NAME = re.compile(r"\s*a[0-9]\s*", re.IGNORECASE)


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
        sheet = pick(parsed.sheets, card.model.sheet) if card.sound("sheet", "make_bleed", "bleed") else None
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
        sheet = pick(parsed.sheets, card.model.sheet) if card.sound("sheet", "trim") else None
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


def _nothing_left(size: Size, rim: Margins) -> bool:
    return rim.left + rim.right >= size.width or rim.top + rim.bottom >= size.height


CARD_CHECKS = (
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
)
