"""`alignment.toml` beside settings.toml: the last correction of a printer and sheet holds, the others are its history.

A program's file: written whole or not at all, never by hand. What a person writes in settings.toml wins over it. A file
that cannot be read, and a correction measured on another size or another turning than the settings have now, are plain
errors: a back is never moved by a guess, nor silently left where it is.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from watcher.disk import write_durably
from watcher.errors import SettingsRefused, WrongUsage
from watcher.layout.geometry import Size
from watcher.layout.register.alignment import Correction
from watcher.settings.alignment_file import LARGEST, Alignment, Kept, TurnTest, by_hand, dump, parse
from watcher.settings.fields import fold
from watcher.settings.model import PrinterSettings, Settings, SheetSettings
from watcher.terms import Duplex, Flip
from watcher.units import show_size

FILE_NAME = "alignment.toml"
OLD_DAYS = 90  # after which a correction is mentioned: rollers wear, paper changes (our own choice)
_WAY_OUT = "put back a copy of the file, or delete it and align the printer again"
_SAME_MM = 1e-6  # the file has sizes as decimals, the settings as fractions
_Table = TypeVar("_Table")


def correction_for(settings: Settings, printer_name: str, sheet_name: str) -> Correction | None:
    """What the back page of this sheet is corrected by in this printer; None for nothing.

    What stands in settings.toml wins over what `print-folder align` has kept.

    Raises:
        SettingsRefused: alignment.toml is damaged, or its correction was measured on another size or turning.
        WrongUsage: the settings have no such printer or sheet.
    """
    sheet, printer = find_sheet(settings, sheet_name), find_printer(settings, printer_name)
    written = printer.align_for(sheet)
    if written is not None:
        return by_hand(written)
    kept = load_kept(settings).in_force(printer.name, sheet.name)
    if kept is None:
        return None
    fault = misfit(kept, printer, sheet)
    if fault:
        raise SettingsRefused(kept_path(settings), [fault])
    return kept.correction


def check_kept(settings: Settings) -> None:
    """Refuse an alignment.toml that is damaged or does not fit the settings; all faults at once.

    Raises:
        SettingsRefused: see `correction_for`.
    """
    kept = load_kept(settings)
    faults = []
    for sheet in settings.sheets.values():
        printer = settings.printer_for(sheet)
        alignment = kept.in_force(printer.name, sheet.name)
        if alignment is not None and printer.align_for(sheet) is None:
            faults += _some(misfit(alignment, printer, sheet))
    if faults:
        raise SettingsRefused(kept_path(settings), faults)


def find_printer(settings: Settings, name: str) -> PrinterSettings:
    """The printer of that name, whatever its capitals; WrongUsage when there is none."""
    return _pick(settings.printers, name, "printer")


def find_sheet(settings: Settings, name: str) -> SheetSettings:
    """The sheet of that name, whatever its capitals; WrongUsage when there is none."""
    return _pick(settings.sheets, name, "sheet")


def _pick(tables: Mapping[str, _Table], name: str, kind: str) -> _Table:
    found = tables.get(name) or next((table for known, table in tables.items() if fold(known) == fold(name)), None)
    if found is None:
        listed = ", ".join(f'"{known}"' for known in sorted(tables))
        raise WrongUsage(f'There is no {kind} "{name}" in the settings; there is: {listed}.')
    return found


def kept_path(settings: Settings) -> Path:
    """Where the file lies."""
    return settings.folder / FILE_NAME


def misfit(kept: Alignment, printer: PrinterSettings, sheet: SheetSettings) -> str | None:
    """Why a correction does not hold for the settings as they are now; None when it does."""
    was, now = _turning(kept.flip, kept.duplex), _turning(printer.flip, printer.duplex)
    if not _same_size(kept.size, sheet.size):
        was = show_size(kept.size.width, kept.size.height)
        now = show_size(sheet.size.width, sheet.size.height)
    elif was == now:
        return None
    return (
        f"the correction of {printer.name} on {sheet.name} was measured with {was}, but the settings now have {now}; "
        f"measure again ({command_for(printer.name, sheet.name)}) or drop it (the same with --forget)"
    )


def _turning(flip: Flip | None, duplex: Duplex) -> str:
    return f"flip on the {flip.words if flip else flip}, {duplex} duplex"


def _some(fault: str | None) -> list[str]:
    return [fault] if fault else []


def _same_size(one: Size, other: Size) -> bool:
    return abs(one.width - other.width) < _SAME_MM and abs(one.height - other.height) < _SAME_MM


def load_kept(settings: Settings) -> Kept:
    """All that alignment.toml holds; nothing when there is no such file.

    Raises:
        SettingsRefused: it cannot be read, or holds what this program never writes.
    """
    path = kept_path(settings)
    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except FileNotFoundError:
        return Kept()
    except OSError as error:
        raise SettingsRefused(path, [f"cannot be opened: {error.strerror}; check its rights"]) from error
    try:
        return parse(data)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError, ArithmeticError) as error:
        raise SettingsRefused(path, [f"is damaged ({_what(error)}); {_WAY_OUT}"]) from error


def _what(error: Exception) -> str:
    if isinstance(error, tomllib.TOMLDecodeError | UnicodeDecodeError | RecursionError):
        return "it is not whole"
    if isinstance(error, KeyError):
        return f"{error.args[0]!r} is missing"
    return "a value in it cannot be"


def keep(settings: Settings, new: Alignment | TurnTest) -> None:
    """Add to the file; what was there stays as history.

    Raises:
        SettingsRefused: the file that is there is damaged; it is left as it is.
    """
    kept = load_kept(settings)
    if isinstance(new, Alignment):
        kept = replace(kept, alignments=(*kept.alignments, new))
    else:
        kept = replace(kept, turn_tests=(*kept.turn_tests, new))
    write_durably(kept_path(settings), dump(kept))


def old_corrections(settings: Settings, now: datetime) -> tuple[str, ...]:
    """A line for each kept correction in use that is older than 90 days, for `status`.

    Raises:
        SettingsRefused: alignment.toml is damaged.
    """
    kept = load_kept(settings)
    lines = []
    for sheet in settings.sheets.values():
        printer = settings.printer_for(sheet)
        alignment = kept.in_force(printer.name, sheet.name)
        if alignment is None or printer.align_for(sheet) is not None:
            continue
        days = (now - alignment.made_at).days
        if days > OLD_DAYS:
            lines.append(
                f"The correction of {printer.name} on {sheet.name} is {days} days old: measure it again, "
                f"{command_for(printer.name, sheet.name)}."
            )
    return tuple(lines)


def kept_notes(settings: Settings, now: datetime) -> tuple[str, ...]:
    """What the person should know about alignment.toml: that it does not fit or is damaged, or that it is old."""
    try:
        check_kept(settings)
    except SettingsRefused as refused:
        return tuple(f"{FILE_NAME}: {fault}. Until then these orders are held." for fault in refused.faults)
    return old_corrections(settings, now)


def command_for(printer_name: str, sheet_name: str) -> str:
    """How this printer and sheet are measured."""
    return f"print-folder align {_quoted(printer_name)} --sheet {_quoted(sheet_name)}"


def _quoted(name: str) -> str:
    return name if re.fullmatch(r"[\w.-]+", name) else f'"{name}"'
