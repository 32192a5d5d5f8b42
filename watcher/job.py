"""What a worker is told about an order, and what it tells when it has made it."""

from dataclasses import dataclass
from pathlib import Path

from watcher.art.model import Finding
from watcher.layout.alignment import Correction
from watcher.orders.model import ArtSource
from watcher.settings.model import GUILLOTINE, CardSettings, CutterSettings, PrinterSettings, SheetSettings
from watcher.terms import Side


@dataclass(frozen=True, kw_only=True)
class Job:
    """Everything a worker needs to make one order.

    Attributes:
        folder: where the order's files lie.
        building: where the product goes; emptied first.
        name: the order's folder name and the start of every file name.
        written: the order's name as it was written on the art.
        shown: the name printed on the sheets: that of the first making when the same art is made again.
        date: the day printed on the sheets, ISO 8601: that of the first making likewise.
        cutter: what parts the cards.
        correction: what brings the back page into register on this printer, or None.
        common: art that every order of the card shares, where it lies now.
        accepted: the person has accepted the soft findings.
        Others as in `records.ticket.Decided`.
    """

    folder: Path
    building: Path
    name: str
    written: str
    shown: str
    date: str
    card: CardSettings
    sheet: SheetSettings
    printer: PrinterSettings
    quantity: int
    overs: str
    sources: tuple[ArtSource, ...]
    common: tuple[tuple[Side, Path], ...]
    accepted: bool
    made_at: str
    settings_sha256: str
    order_sha256: str
    due: str | None
    note: str | None
    cutter: CutterSettings = GUILLOTINE
    correction: Correction | None = None


@dataclass(frozen=True, kw_only=True)
class Made:
    """A finished product in its building folder."""

    sheets: int
    up: int
    words: str
    findings: tuple[Finding, ...]
    files: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class ArtCheck:
    """Art to be looked at without making anything; `ArtSource.file` is a whole path here."""

    card: CardSettings
    printer: PrinterSettings
    sources: tuple[ArtSource, ...]
    common: tuple[tuple[Side, Path], ...]
