"""Read and write the measured corrections in `alignment.toml`, and give the one that applies to a printer and sheet.

The file lies beside settings.toml and is written by this program alone, whole or not at all. Of a printer and sheet the
last correction applies; the earlier ones are its history. A correction written in settings.toml takes precedence. It is
an error when the file cannot be read, or when its correction was measured with another sheet size or another turning
than the settings have now: a back is never moved by a guess, nor silently left uncorrected.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import TypeVar

from watcher.disk import write_durably
from watcher.errors import SettingsRefused, WrongUsage
from watcher.layout.geometry import Size
from watcher.layout.register.alignment import Correction
from watcher.settings.alignment_file import LARGEST, Alignment, Alignments, TurnTest, by_hand, dump, parse
from watcher.settings.fields import fold
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import Duplex, Flip
from watcher.units import show_size

OLD_DAYS = 90  # after which a correction is mentioned: rollers wear, paper changes (our own choice)
_WAY_OUT = "put back a copy of the file, or delete it and align the printer again"
_SAME_MM = 1e-6  # the file has sizes as decimals, the settings as fractions
_Table = TypeVar("_Table")


def correction_for(settings: Settings, printer_name: str, sheet_name: str) -> Correction | None:
    """Give the correction of the back page for a printer and sheet; None when there is none.

    A correction in settings.toml takes precedence over the measured one.

    Raises:
        SettingsRefused: alignment.toml is damaged, or its correction was measured on another size or turning.
        WrongUsage: the settings have no such printer or sheet.
    """
    sheet, printer = find_sheet(settings, sheet_name), find_printer(settings, printer_name)
    written = printer.align_for(sheet)
    if written is not None:
        return by_hand(written)
    alignment = load_alignments(settings).current(printer.name, sheet.name)
    if alignment is None:
        return None
    fault = misfit(alignment, printer, sheet)
    if fault:
        raise SettingsRefused(settings.alignment_file, [fault])
    return alignment.correction


def check_alignments(settings: Settings) -> None:
    """Check that alignment.toml is sound and fits the settings.

    Raises:
        SettingsRefused: it is damaged or does not fit; all faults at once.
    """
    alignments = load_alignments(settings)
    faults = []
    for sheet in settings.sheets.values():
        printer = settings.printer_for(sheet)
        alignment = alignments.current(printer.name, sheet.name)
        if alignment is not None and printer.align_for(sheet) is None:
            fault = misfit(alignment, printer, sheet)
            faults += [fault] if fault else []
    if faults:
        raise SettingsRefused(settings.alignment_file, faults)


def find_printer(settings: Settings, name: str) -> PrinterSettings:
    """Find a printer by name, ignoring case.

    Raises:
        WrongUsage: the settings have none of that name.
    """
    return _pick(settings.printers, name, "printer")


def find_sheet(settings: Settings, name: str) -> SheetSettings:
    """Find a sheet by name, ignoring case.

    Raises:
        WrongUsage: the settings have none of that name.
    """
    return _pick(settings.sheets, name, "sheet")


def _pick(tables: Mapping[str, _Table], name: str, kind: str) -> _Table:
    found = tables.get(name) or next((table for known, table in tables.items() if fold(known) == fold(name)), None)
    if found is None:
        listed = ", ".join(f'"{known}"' for known in sorted(tables))
        raise WrongUsage(f'There is no {kind} "{name}" in the settings; there is: {listed}.')
    return found


def misfit(alignment: Alignment, printer: PrinterSettings, sheet: SheetSettings) -> str | None:
    """Say why a correction does not apply to the settings as they are now; None when it does."""
    was, now = _turning(alignment.flip, alignment.duplex), _turning(printer.flip, printer.duplex)
    if not _same_size(alignment.size, sheet.size):
        was = show_size(alignment.size.width, alignment.size.height)
        now = show_size(sheet.size.width, sheet.size.height)
    elif was == now:
        return None
    command = command_for(printer.name, sheet.name)
    return (
        f"the correction of {printer.name} on {sheet.name} was measured with {was}, but the settings now have {now}; "
        f"measure again ({command}) or drop it ({command} forget)"
    )


def _turning(flip: Flip | None, duplex: Duplex) -> str:
    return f"flip on the {flip.words if flip else flip}, {duplex} duplex"


def _same_size(one: Size, other: Size) -> bool:
    return abs(one.width - other.width) < _SAME_MM and abs(one.height - other.height) < _SAME_MM


def load_alignments(settings: Settings) -> Alignments:
    """Read alignment.toml; empty when there is no such file.

    Raises:
        SettingsRefused: it cannot be read, or holds what this program never writes.
    """
    path = settings.alignment_file
    if path.is_fifo():  # reading would wait without end
        raise SettingsRefused(path, ["is a pipe and no file; take it away"])
    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except FileNotFoundError:
        return Alignments()
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


def save_alignment(settings: Settings, new: Alignment | TurnTest) -> None:
    """Append a correction or a turn test to alignment.toml; earlier ones stay as history.

    Raises:
        SettingsRefused: the file that is there is damaged; it is left as it is.
    """
    alignments = load_alignments(settings)
    if isinstance(new, Alignment):
        alignments = replace(alignments, alignments=(*alignments.alignments, new))
    else:
        alignments = replace(alignments, turn_tests=(*alignments.turn_tests, new))
    write_durably(settings.alignment_file, dump(alignments))


def old_corrections(settings: Settings, now: datetime) -> tuple[str, ...]:
    """List the measured corrections in use that are older than 90 days, one line each.

    Raises:
        SettingsRefused: alignment.toml is damaged.
    """
    alignments = load_alignments(settings)
    lines = []
    for sheet in settings.sheets.values():
        printer = settings.printer_for(sheet)
        alignment = alignments.current(printer.name, sheet.name)
        if alignment is None or printer.align_for(sheet) is not None:
            continue
        days = (now - alignment.made_at).days
        if days > OLD_DAYS:
            lines.append(
                f"The correction of {printer.name} on {sheet.name} is {days} days old: measure it again, "
                f"{command_for(printer.name, sheet.name)}."
            )
    return tuple(lines)


def alignment_notes(settings: Settings, now: datetime) -> tuple[str, ...]:
    """List what the shop owner should know about alignment.toml: damaged, not fitting the settings, or old."""
    try:
        check_alignments(settings)
    except SettingsRefused as refused:
        return tuple(
            f"{settings.alignment_file.name}: {fault}. Until then these orders are held." for fault in refused.faults
        )
    return old_corrections(settings, now)


def command_for(printer_name: str, sheet_name: str) -> str:
    """Give the command that measures this printer and sheet; a sub-command may follow it."""
    return f"print-folder align {_quoted(printer_name)} --sheet {_quoted(sheet_name)}"


def _quoted(name: str) -> str:
    return name if re.fullmatch(r"[\w.-]+", name) else f'"{name}"'
