"""What the parts of the conversation share: one printer, one sheet, its target, and where test sheets are put."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from watcher.align.pages import TestSheet, sheet_files
from watcher.align.register.label import any_run
from watcher.align.register.target import Target, place_target
from watcher.align.register.target_sheet import target_pages
from watcher.align.talk import Talk
from watcher.align.turn.sheet import turn_pages
from watcher.align.words import decimal_inches, who_turns
from watcher.disk import write_durably
from watcher.errors import WrongUsage
from watcher.instructions.words import sides_setting
from watcher.layout.register.alignment import Correction
from watcher.settings.alignment import command_for, correction_for, find_printer, find_sheet
from watcher.settings.fields import fold
from watcher.settings.model import PrinterSettings, Settings, SheetSettings
from watcher.terms import Duplex, Flip
from watcher.units import show_size

FOLDER = "align"  # beside settings.toml
_PLAIN = re.compile(r"[^\w.-]+")


@dataclass(frozen=True, kw_only=True)
class Bench:
    """One printer with one sheet in it."""

    settings: Settings
    printer: PrinterSettings
    sheet: SheetSettings
    talk: Talk
    now: datetime

    @property
    def target(self) -> Target:
        """The register target of the sheet."""
        return place_target(self.sheet, self.printer)

    @property
    def all_targets(self) -> list[Target]:
        """The targets of all printers and sheets in the settings, turned either way."""
        targets = []
        for sheet in self.settings.sheets.values():
            for flip in Flip:
                try:
                    targets.append(place_target(sheet, self.settings.printer_for(sheet), flip))
                except WrongUsage:  # too small for one
                    continue
        return targets

    @property
    def command(self) -> str:
        """How this printer and sheet are called on the command line."""
        return command_for(self.printer.name, self.sheet.name)

    @property
    def kept_correction(self) -> Correction | None:
        """The correction in force, by hand or kept."""
        return correction_for(self.settings, self.printer.name, self.sheet.name)

    def introduce(self) -> None:
        """Say what this is about."""
        size = self.sheet.size
        self.talk.say(
            f"Printer {self.printer.name}, sheet {self.sheet.name}: {show_size(size.width, size.height)} "
            f"({decimal_inches(size)}); {who_turns(self.printer.flip, self.printer.duplex)}."
        )

    def write_turn_test(self) -> list[Path]:
        """Put the turn test where it can be printed."""
        return self._write("turn-test", turn_pages(self.target, self.printer, self.sheet))

    def write_target(self) -> list[Path]:
        """Put the register target where it can be printed: always without a correction."""
        return self._write("register-target", target_pages(self.target, self.printer, self.sheet, run=any_run()))

    def write_proof(self, correction: Correction, date: str) -> list[Path]:
        """Put the target with a correction where it can be printed."""
        pages = target_pages(self.target, self.printer, self.sheet, proof=(correction, date), run=any_run())
        return self._write("proof", pages)

    def _write(self, what: str, pages: TestSheet) -> list[Path]:
        folder = self.settings.folder / FOLDER
        folder.mkdir(exist_ok=True)
        stem = "_".join(_PLAIN.sub("-", name).strip(".-") or "x" for name in (self.printer.name, self.sheet.name))
        written = []
        for end, pdf in sheet_files(pages).items():
            path = folder / f"{stem}_{what}{end}"
            write_durably(path, pdf)
            written.append(path)
        return written

    def how_to_print(self) -> str:
        """What to set in the print dialog, in words."""
        size = "at actual size (100 %), never 'fit'"
        if self.turns_by_hand:
            return f"{size}, two-sided printing off"
        chosen = self.printer.chosen_flip
        if chosen is None:
            return f"{size}, both sides"
        return f"{size}, {re.sub('</?b>', '', sides_setting(chosen, self.printer.duplex, self.sheet.size))}"

    @property
    def turns_by_hand(self) -> bool:
        """Whether the person turns the stack."""
        return self.printer.duplex is Duplex.MANUAL


def set_up(settings: Settings, printer_name: str, sheet_name: str | None, talk: Talk, now: datetime) -> Bench:
    """The bench for a printer and one of its sheets.

    Raises:
        WrongUsage: there is no such printer or sheet, the sheet goes into another printer, or several could be meant.
    """
    printer = find_printer(settings, printer_name)
    sheets = sheets_of(settings, printer)
    if sheet_name is not None:
        sheet = find_sheet(settings, sheet_name)
        if sheet.name not in sheets:
            raise WrongUsage(f"The sheet {sheet.name} is printed on {sheet.printer}, not on {printer.name}.")
    elif len(sheets) == 1:
        sheet = next(iter(sheets.values()))
    else:
        raise WrongUsage(f"{printer.name} prints on {', '.join(sheets)}; say which with --sheet NAME.")
    return Bench(settings=settings, printer=printer, sheet=sheet, talk=talk, now=now)


def sheets_of(settings: Settings, printer: PrinterSettings) -> Mapping[str, SheetSettings]:
    """The sheets that go into a printer, by name.

    Raises:
        WrongUsage: there are none.
    """
    sheets = {name: sheet for name, sheet in settings.sheets.items() if fold(sheet.printer) == fold(printer.name)}
    if not sheets:
        raise WrongUsage(f'No sheet in the settings is printed on {printer.name}; give one printer = "{printer.name}".')
    return sheets
