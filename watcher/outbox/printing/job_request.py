"""Compare a job with what the printer has and can: give what is asked of it, or why nothing is sent.

A printing system answers "ok" to what it cannot do and puts other paper or another size in its place, so each thing is
compared here first (measured with CUPS 2.4: a sheet of 305 x 457 mm was printed on letter). Nothing is ever
substituted, and nothing scaled.
"""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from watcher.archive.ticket_file import PrintFile
from watcher.disk import cut_name
from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.contract import JobRequest, PrinterStatus
from watcher.outbox.printing.media import Media
from watcher.outbox.printing.order_printing import SheetJob
from watcher.outbox.printing.paper_words import edges_of, known_sizes, listed, lying, rim_line, size_words
from watcher.outbox.printing.printer_says import PDF, PrinterSays
from watcher.outbox.printing.stacks import NotSent
from watcher.records.plain_text import one_line
from watcher.settings.sheet import SheetSettings
from watcher.terms import ONE_SIDED, Flip, Quality
from watcher.units import show_mm

SAME_MM = Fraction(1, 20)  # a rim that is wider by less is the same, said in other units (our own)
# What the sheets are not right without: a printer that ignores one of these does not get them.
_NEEDED = {
    "copies": "how many copies",
    "document-format": "that it is a PDF",
    "sides": "both sides of a sheet",
    "media": "its paper",
    "media-col": "its size, tray and rim",
    "media-size": "its size",
    "print-scaling": "actual size",
}
_LONGEST_NAME = 180  # bytes of an order's name in that of a job, which may have 255 (RFC 8011 5.3.5)


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What is to be printed.

    Attributes:
        order: its name, for people.
        printer: name of the printer in the settings.
        sheet: the sheet of the settings.
        size: of the sheets that were made, mm.
        file: how the file is printed.
        copies: how many copies.
    """

    order: str
    printer: str
    sheet: SheetSettings
    size: Size
    file: PrintFile
    copies: int


def token_of(job: SheetJob) -> str:
    """Give what tells a try of a job from everything else that was ever sent."""
    what = (job.sha256, job.order_key, job.stack, job.side, job.first, job.sheets, job.number, job.times)
    return hashlib.sha256(repr(what).encode("utf-8", "backslashreplace")).hexdigest()[:16]


def name_at_printer(order: str, job: SheetJob) -> str:
    """Give the job's name there: the order, what of it, and the token by which it is found again."""
    return f"{cut_name(one_line(order), _LONGEST_NAME)} {job.side} {job.token}"


def request_for(wanted: Wanted, says: PrinterSays, status: PrinterStatus, job_name: str) -> JobRequest:
    """Give what is asked of the printer.

    Args:
        wanted: what is to be printed.
        says: what the printer says it is and can.
        status: how it is now.
        job_name: see `name_at_printer`.

    Raises:
        NotSent: it is not as the sheets need it; all differences, with the numbers.
    """
    paper = _paper(wanted, says, status.ready if status.ready is not None else says.ready)
    faults = [*_faults(wanted, says), *([paper] if isinstance(paper, str) else _rim_faults(wanted, says, paper))]
    if faults or isinstance(paper, str):
        raise NotSent(" ".join(faults))
    return JobRequest(
        job_name=job_name,
        document_format=PDF,
        copies=wanted.copies,
        sides=wanted.file.sides if says.sides or wanted.file.sides != ONE_SIDED else None,
        media=paper,
        quality=wanted.sheet.quality.number if wanted.sheet.quality else None,
        scaling="none",
        collated=True if wanted.copies > 1 and "multiple-document-handling" in says.job_attributes else None,
        held=says.holds,
    )


def refuse_ignored(printer: str, request: JobRequest, ignored: Iterable[str]) -> None:
    """Refuse a printer that says itself what it would not do of what the sheets need.

    Raises:
        NotSent: it would leave out one of these.
    """
    names = set(ignored) if request.scaling else set(ignored) - {"print-scaling"}
    left_out = [words for name, words in _NEEDED.items() if name in names]
    if left_out:
        raise NotSent(
            f"The printer {printer} says that it would not keep to what the sheets need: {', '.join(left_out)}."
            f" Compare what it has with the settings: print-folder check --printers."
        )


def _faults(wanted: Wanted, says: PrinterSays) -> Iterator[str]:
    printer, sides = wanted.printer, wanted.file.sides
    queue = f'Name a queue of this computer\'s printing system in between, such as "ipp://localhost/printers/{printer}"'
    if PDF not in says.formats:
        takes = f"it takes {listed(says.formats)}" if says.formats else "it does not say what it takes"
        yield f"The printer {printer} takes no PDF ({takes}). {queue}."
    if says.scalings and "none" not in says.scalings:
        yield f"The printer {printer} does not offer to print at actual size (only {listed(says.scalings)}). {queue}."
    if sides != ONE_SIDED and says.sides and sides not in says.sides:
        yield _side_fault(printer, sides, says)
    if wanted.sheet.quality and says.qualities and wanted.sheet.quality.number not in says.qualities:
        known = listed(quality for quality in Quality if quality.number in says.qualities)
        yield (
            f'The printer {printer} has no quality "{wanted.sheet.quality}"; it has {known or "none of these"}. Write'
            f" another one, or none, under [sheets.{wanted.sheet.name}]."
        )
    if says.most_copies is not None and wanted.copies > says.most_copies:
        yield (
            f"{wanted.copies} copies are wanted, and the printer {printer} makes {says.most_copies} at the most."
            f' Write copies = "pages" under [sheets.{wanted.sheet.name}] and have the order made again.'
        )


def _side_fault(printer: str, sides: str, says: PrinterSays) -> str:
    turns = [flip for flip in Flip if flip.sides in says.sides]
    if not turns:
        return (
            f'The printer {printer} prints one side only. Write duplex = "manual" under [printers.{printer}], have the'
            " order made again, and turn the stack by hand."
        )
    wanted = next((flip.words for flip in Flip if flip.sides == sides), sides)
    return (
        f"The printer {printer} turns sheets not on the {wanted}, only on the {turns[0].words}. Write"
        f' flip = "{turns[0]}" under [printers.{printer}] and have the order made again.'
    )


# -- paper -------------------------------------------------------------------------------------------------------------


def _paper(wanted: Wanted, says: PrinterSays, ready: tuple[Media, ...] | None) -> Media | str:
    """The sheet to ask for, as it lies in the printer; or why there is none."""
    sheet, size, printer = wanted.sheet, wanted.size, wanted.printer
    shown = size_words(size)
    if says.sheets and not says.sheets_for(size):
        known = known_sizes(says.sheets)
        return f"The printer {printer} knows no sheet of {size_words(size)}; it knows {known}."
    if sheet.stock and says.kinds and sheet.stock not in says.kinds:
        return f'The printer {printer} knows no stock "{sheet.stock}"; it knows {listed(says.kinds)}.'
    if sheet.tray and says.sources and sheet.tray not in says.sources:
        return f'The printer {printer} has no tray "{sheet.tray}"; it has {listed(says.sources)}.'
    if ready is None:  # it does not tell what lies in it: by its size and stock it is asked for, and for no other
        return _with_rim(says, size, Media(size=_as_it_lies(size), source=sheet.tray, kind=sheet.stock))
    fitting = [one for one in ready if one.is_for(size, sheet.tray, sheet.stock)]
    if not fitting:
        return (
            f"{wanted.order} needs {shown}{_asked_place(sheet)}. In the printer {printer} lies {lying(ready)}. Put the"
            f" right paper in, tell the printer its size, and rename the folder to {wanted.order} print again."
        )
    places = {(one.source, one.kind) for one in fitting}
    if len(places) > 1:
        return (
            f"{shown} lies in several places of the printer {printer}: {lying(fitting)}."
            f' Write which under [sheets.{sheet.name}], such as tray = "{fitting[0].source or fitting[0].kind}".'
        )
    there = fitting[0]
    exact = there.size if there.size is not None and there.up_to is None else _as_it_lies(size)
    found = Media(size=exact, source=there.source or sheet.tray, kind=there.kind or sheet.stock, margins=there.margins)
    return _with_rim(says, size, found)


def _with_rim(says: PrinterSays, size: Size, paper: Media) -> Media:
    """The sheet with the widest rim that the printer says for it; one without any enlarges the page and is not used."""
    lines = [*says.sheets_for(size, paper.source, paper.kind), *([paper] if paper.margins else [])]
    rims = [one.margins for one in lines if one.margins and not one.is_borderless]
    widest = max(rims, key=lambda rim: rim.top + rim.right + rim.bottom + rim.left, default=None)
    return Media(size=paper.size, source=paper.source, kind=paper.kind, margins=widest)


def _rim_faults(wanted: Wanted, says: PrinterSays, paper: Media) -> Iterator[str]:
    """What the printer leaves blank beyond what the sheets were laid out for."""
    sheet, printer = wanted.sheet, wanted.printer
    its = says.rim_for(wanted.size, paper.source, paper.kind, lying=paper.margins)
    if its is None:
        lines = says.sheets_for(wanted.size, paper.source, paper.kind)
        if lines and all(one.is_borderless for one in lines):
            yield (
                f"The printer {printer} offers {sheet.name} only without a rim, and then it enlarges the page. Choose"
                " another stock or tray."
            )
        return
    for ours, what in ((sheet.unprintable, "unprintable"), (sheet.unprintable_back, "unprintable_back")):
        if ours is not None and (wider := _wider(its, ours)):
            both = Margins(*(max(pair) for pair in zip(edges_of(its), edges_of(ours), strict=True)))
            yield (
                f"The printer {printer} leaves more blank on {sheet.name} than the sheets were laid out for: {wider}."
                f" Write {what} = {rim_line(both)} under [sheets.{sheet.name}] and have the order made again."
            )


def _wider(its: Margins, ours: Margins) -> str:
    names = ("top", "right", "bottom", "left")
    edges = zip(names, edges_of(its), edges_of(ours), strict=True)
    return ", ".join(
        f"{name} {show_mm(one)} mm instead of {show_mm(two)} mm" for name, one, two in edges if one > two + SAME_MM
    )


def _as_it_lies(size: Size) -> Size:
    """A sheet as printers count it: the short side across."""
    return Size(*sorted((size.width, size.height)))


def _asked_place(sheet: SheetSettings) -> str:
    said = " and ".join(filter(None, (sheet.tray and f"tray {sheet.tray}", sheet.stock and f"stock {sheet.stock}")))
    return f" in {said}" if said else ""
