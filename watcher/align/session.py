"""One printer with one sheet in it while it is being aligned: its settings, its target, and where test sheets go."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from watcher.align.colours import colour_strip
from watcher.align.dialogue import Dialogue
from watcher.align.pages import TestSheet, sheet_files
from watcher.align.register.label import any_run
from watcher.align.register.target import Target, place_target
from watcher.align.register.target_sheet import target_pages
from watcher.align.turn.sheet import turn_pages
from watcher.align.words import decimal_inches, describe_turning
from watcher.disk import write_durably
from watcher.errors import WrongUsage
from watcher.instructions.print_words import sides_setting
from watcher.layout.register.alignment import Correction
from watcher.settings.alignment import command_for, correction_for, find_printer, find_sheet, load_alignments
from watcher.settings.alignment_file import Alignment
from watcher.settings.fields import fold
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import Duplex, Flip
from watcher.units import show_size

FOLDER = "align"  # beside settings.toml
_NOT_FOR_FILE_NAMES = re.compile(r"[^\w.-]+")


@dataclass(frozen=True, kw_only=True)
class Session:
    """What every step of an alignment works with.

    Attributes:
        settings: of the print folder.
        printer, sheet: what is being aligned.
        dialogue: the person.
        now: the time that is written into alignment.toml.
    """

    settings: Settings
    printer: PrinterSettings
    sheet: SheetSettings
    dialogue: Dialogue
    now: datetime

    @property
    def name(self) -> str:
        """Give printer and sheet as messages name them: `laser on letter`."""
        return f"{self.printer.name} on {self.sheet.name}"

    @property
    def command(self) -> str:
        """Give the command that aligns this printer and sheet."""
        return command_for(self.printer.name, self.sheet.name)

    @property
    def turns_by_hand(self) -> bool:
        """Whether a person turns the stack."""
        return self.printer.duplex is Duplex.MANUAL

    @property
    def target(self) -> Target:
        """Give the register target of the sheet."""
        return place_target(self.sheet, self.printer)

    @property
    def all_targets(self) -> list[Target]:
        """Give the targets of all printers and sheets in the settings, with either flip."""
        targets = []
        for sheet in self.settings.sheets.values():
            for flip in Flip:
                try:
                    targets.append(place_target(sheet, self.settings.printer_for(sheet), flip))
                except WrongUsage:  # the sheet is too small for a target
                    continue
        return targets

    @property
    def correction(self) -> Correction | None:
        """Give the correction that applies, from settings.toml or measured; None when there is none."""
        return correction_for(self.settings, self.printer.name, self.sheet.name)

    @property
    def measured(self) -> Alignment | None:
        """Give the last measured correction, also where settings.toml has one of its own; None when there is none."""
        return load_alignments(self.settings).current(self.printer.name, self.sheet.name)

    @property
    def history(self) -> list[Alignment]:
        """Give all measured corrections of this printer and sheet, oldest first."""
        return load_alignments(self.settings).history(self.printer.name, self.sheet.name)

    def say(self, *lines: str) -> None:
        """Show lines to the person."""
        for line in lines:
            self.dialogue.say(line)

    def introduce(self) -> None:
        """Say which printer and sheet this is, and how it turns the sheet."""
        size = self.sheet.size
        self.say(
            f"Printer {self.printer.name}, sheet {self.sheet.name}: {show_size(size.width, size.height)} "
            f"({decimal_inches(size)}); {describe_turning(self.printer.flip, self.printer.duplex)}."
        )

    def say_files(self, files: list[Path]) -> None:
        """Show the paths of files, a line each."""
        self.say(*(f"  {file}" for file in files))

    def write_turn_test(self) -> list[Path]:
        """Write the turn test as PDF files and give their paths."""
        return self._write("turn-test", turn_pages(self.target, self.printer, self.sheet))

    def write_target(self) -> list[Path]:
        """Write the register target, always without a correction, and give the paths of its files."""
        return self._write("register-target", target_pages(self.target, self.printer, self.sheet, run=any_run()))

    def write_proof(self, correction: Correction, date: str) -> list[Path]:
        """Write the register target with a correction and give the paths of its files.

        Args:
            correction: of the back page.
            date: of the correction, as the proof says it.
        """
        pages = target_pages(self.target, self.printer, self.sheet, proof=(correction, date), run=any_run())
        return self._write("proof", pages)

    def write_colours(self) -> list[Path]:
        """Write the colour strip of the sheet and give the path of its file."""
        return self._write("colours", colour_strip(self.printer, self.sheet))

    def _write(self, what: str, pages: TestSheet) -> list[Path]:
        folder = self.settings.folder / FOLDER
        folder.mkdir(exist_ok=True)
        names = (self.printer.name, self.sheet.name)
        stem = "_".join(_NOT_FOR_FILE_NAMES.sub("-", name).strip(".-") or "x" for name in names)
        written = []
        for end, pdf in sheet_files(pages).items():
            path = folder / f"{stem}_{what}{end}"
            write_durably(path, pdf)
            written.append(path)
        return written

    def how_to_print(self) -> str:
        """Say what to set in the print dialog."""
        size = "at actual size (100 %), never 'fit'"
        if self.turns_by_hand:
            return f"{size}, two-sided printing off"
        chosen = self.printer.chosen_flip
        if chosen is None:
            return f"{size}, both sides"
        return f"{size}, {re.sub('</?b>', '', sides_setting(chosen, self.printer.duplex, self.sheet.size))}"


def open_session(
    settings: Settings, printer_name: str, sheet_name: str | None, dialogue: Dialogue, now: datetime
) -> Session:
    """Give the session for a printer and one of its sheets.

    Args:
        settings: of the print folder.
        printer_name: as the settings call it, ignoring case.
        sheet_name: likewise; None where the printer has only one.
        dialogue: the person.
        now: with offset.

    Raises:
        WrongUsage: there is no such printer or sheet, the sheet is for another printer, or it must be named.
        SettingsRefused: alignment.toml is damaged.
    """
    load_alignments(settings)
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
    return Session(settings=settings, printer=printer, sheet=sheet, dialogue=dialogue, now=now)


def sheets_of(settings: Settings, printer: PrinterSettings) -> Mapping[str, SheetSettings]:
    """Give the sheets that are printed on a printer, by name.

    Raises:
        WrongUsage: there are none.
    """
    sheets = {name: sheet for name, sheet in settings.sheets.items() if fold(sheet.printer) == fold(printer.name)}
    if not sheets:
        raise WrongUsage(f'No sheet in the settings is printed on {printer.name}; give one printer = "{printer.name}".')
    return sheets
