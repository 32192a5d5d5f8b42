"""The settings of one print folder as one frozen record; each table of `settings.toml` has its file beside this one.

Every default stands in the record of its table and nowhere else. Lengths are exact millimetres, times are seconds,
paths are absolute once `load` has read the file.
"""

from collections.abc import Iterable, Mapping
from pathlib import Path

from pydantic import Field

from watcher.errors import WrongUsage
from watcher.settings import fields
from watcher.settings.card import CardSettings
from watcher.settings.cutter import GUILLOTINE, CutterSettings
from watcher.settings.defaults import DefaultsSettings
from watcher.settings.fingerprint import fingerprint
from watcher.settings.folders import FolderSettings
from watcher.settings.names import NameSettings
from watcher.settings.printer import PrinterSettings
from watcher.settings.service import ServiceSettings
from watcher.settings.sheet import SheetSettings
from watcher.settings.table import Table


class Settings(Table):
    """The settings of one print folder. `path` (the file) and `folder` (the folder it is in) are absolute."""

    path: Path
    folder: Path
    defaults: DefaultsSettings
    folders: FolderSettings
    names: NameSettings
    service: ServiceSettings
    cards: Mapping[str, CardSettings]
    sheets: Mapping[str, SheetSettings]
    printers: Mapping[str, PrinterSettings]
    cutters: Mapping[str, CutterSettings] = Field(default_factory=dict)

    def card(self, name: str) -> CardSettings:
        """The card of that name, as written or, failing that, whatever its capitals; WrongUsage when there is none."""
        return self.cards[_find(name, self.cards, "card")]

    def sheet_for(self, card: CardSettings, sheet_name: str | None = None) -> SheetSettings:
        """The sheet that was asked for, else the card's own; WrongUsage when there is none of that name."""
        return self.sheets[_find(sheet_name or card.sheet, self.sheets, "sheet")]

    def printer_for(self, sheet: SheetSettings) -> PrinterSettings:
        """The printer that takes the sheet."""
        return self.printers[_find(sheet.printer, self.printers, "printer")]

    def cutter_for(self, sheet: SheetSettings) -> CutterSettings:
        """The cutter that the sheet names, else a guillotine."""
        if sheet.cutter is None:
            return GUILLOTINE
        return self.cutters[_find(sheet.cutter, self.cutters, "cutter")]

    @property
    def alignment_file(self) -> Path:
        """The file of measured corrections, which need not be there; see `alignment.py`."""
        return self.folder / "alignment.toml"

    def fingerprint(self, card_name: str, sheet_name: str | None = None) -> str:
        """The sha256 of every setting that shapes this card on this sheet; see `fingerprint.fingerprint`."""
        card = self.card(card_name)
        sheet = self.sheet_for(card, sheet_name)
        printer = self.printer_for(sheet)
        cutter = self.cutter_for(sheet) if sheet.cutter else None
        return fingerprint(card, sheet, printer, printer.align_for(sheet), cutter)


def _find(name: str, there: Iterable[str], kind: str) -> str:
    """The name as the settings write it."""
    names = list(there)
    if name in names:
        return name
    for known in names:
        if fields.fold(known) == fields.fold(name):
            return known
    listed = ", ".join(f'"{known}"' for known in sorted(names)) or "none"
    raise WrongUsage(f'There is no {kind} "{name}" in the settings; there is: {listed}.')
