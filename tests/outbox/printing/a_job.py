"""A job for letter from a printer that has it, and what that printer says."""

from fractions import Fraction

from watcher.archive.ticket_file import PrintFile
from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.contract import PrinterState, PrinterStatus
from watcher.outbox.printing.job_request import Wanted
from watcher.outbox.printing.media import Media
from watcher.outbox.printing.printer_says import PrinterSays
from watcher.settings.sheet import SheetSettings

LETTER, A4 = Size(Fraction("215.9"), Fraction("279.4")), Size(Fraction(210), Fraction(297))
RIM = Margins.all_round(Fraction("4.23"))
STATUS = PrinterStatus(state=PrinterState.IDLE, reasons=(), message="", accepts_jobs=True, ready=None)


def media(size=LETTER, margins=RIM, source="main", kind="card") -> Media:
    return Media(size=size, margins=margins, source=source, kind=kind)


def says(**more) -> PrinterSays:
    told = {
        "model": "m",
        "sheets": (media(), media(A4)),
        "ready": (media(),),
        "sides": ("one-sided", "two-sided-long-edge"),
        "sources": ("main", "bypass"),
        "kinds": ("card", "plain"),
        "qualities": (4, 5),
        "formats": ("application/pdf",),
        "scalings": ("none", "fit"),
        "most_copies": 99,
        "job_attributes": frozenset({"multiple-document-handling"}),
        "holds": True,
    }
    return PrinterSays(**{**told, **more})


def wanted(copies=3, sides="two-sided-long-edge", **sheet) -> Wanted:
    settings = SheetSettings(name="letter", size="letter", printer="p", **sheet)
    file = PrintFile(file="x_sheets.pdf", copies=copies, sides=sides, media="na_letter_8.5x11in")
    return Wanted(order="x", printer="p", sheet=settings, size=settings.size, file=file, copies=copies)
