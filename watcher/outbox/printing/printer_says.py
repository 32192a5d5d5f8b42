"""What a printer says it is and can, read into one record.

Source of the names: RFC 8011 5.4, PWG 5100.7 (media-col), PWG 5100.13 (print-scaling). A printer's
`media-*-margin-supported` are not read: they are known to be smaller than the margins of its own sheets.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.ipp_codes import Operation
from watcher.outbox.printing.ipp_values import Attributes
from watcher.outbox.printing.media import Media, read_media, read_media_name

PDF = "application/pdf"


@dataclass(frozen=True, kw_only=True)
class PrinterSays:
    """What a printer or a queue says it is and can; empty where it does not tell.

    Attributes:
        model: make and model, for people.
        sheets: every sheet it knows, with its rim (media-col-database; where it has none, what lies in it with its rim,
            and the sizes of media-supported without any).
        ready: what lies in it; None: it does not tell.
        sides: `sides-supported`.
        sources: its trays.
        kinds: the stocks it knows.
        qualities: `print-quality-supported`.
        formats: MIME types it takes.
        scalings: `print-scaling-supported`.
        most_copies: the most copies of one job; None: it does not tell.
        job_attributes: what a job for it may ask for.
        holds: whether a job can be held until it is released.
    """

    model: str
    sheets: tuple[Media, ...]
    ready: tuple[Media, ...] | None
    sides: tuple[str, ...]
    sources: tuple[str, ...]
    kinds: tuple[str, ...]
    qualities: tuple[int, ...]
    formats: tuple[str, ...]
    scalings: tuple[str, ...]
    most_copies: int | None
    job_attributes: frozenset[str]
    holds: bool

    def sheets_for(self, size: Size, source: str | None = None, kind: str | None = None) -> tuple[Media, ...]:
        """What it says about a sheet in a tray, on a stock; a line that names neither holds for all of them."""
        return tuple(one for one in self.sheets if one.is_for(size, source, kind))

    def rim_for(
        self, size: Size, source: str | None = None, kind: str | None = None, lying: Margins | None = None
    ) -> Margins | None:
        """The widest rim it says for such a sheet, mm, as the sheet of the settings lies; None: it does not tell.

        Each edge is the widest of all entries and of `lying`, the rim of what lies in the printer now. Entries without
        any rim are left out: with them a printer enlarges the page to print to the edge. A sheet that lies on its side
        is turned by the printer, to the left or to the right, so the wider of two opposite edges holds for both.
        """
        rims = [one.margins for one in self.sheets_for(size, source, kind) if one.margins and not one.is_borderless]
        rims += [lying] if lying else []
        if not rims:
            return None
        return _turned(_widest(rims)) if size.is_landscape else _widest(rims)

    def ready_for(self, size: Size, source: str | None = None, kind: str | None = None) -> tuple[Media, ...]:
        """What lies in it and has this size, in a tray and of a stock where they are named."""
        return tuple(one for one in self.ready or () if one.is_for(size, source, kind))


def read_printer(attributes: Attributes) -> PrinterSays:
    """Read the printer group of a Get-Printer-Attributes answer."""
    ready = attributes.collections("media-col-ready")
    copies = attributes.ranges("copies-supported")
    return PrinterSays(
        model=attributes.word("printer-make-and-model") or attributes.word("printer-info") or "",
        sheets=_sheets(attributes),
        ready=tuple(read_media(one) for one in ready) if "media-col-ready" in attributes else None,
        sides=attributes.words("sides-supported"),
        sources=attributes.words("media-source-supported"),
        kinds=attributes.words("media-type-supported"),
        qualities=attributes.numbers("print-quality-supported"),
        formats=attributes.words("document-format-supported"),
        scalings=attributes.words("print-scaling-supported"),
        most_copies=max((one.upper for one in copies), default=None),
        job_attributes=frozenset(attributes.words("job-creation-attributes-supported")),
        holds=_holds(attributes),
    )


def _holds(attributes: Attributes) -> bool:
    """Whether a job can be held and let go. Without Release-Job a new job may be called held and be printed at once."""
    is_told = "indefinite" in attributes.words("job-hold-until-supported")
    return is_told and Operation.RELEASE_JOB in attributes.numbers("operations-supported")


def _sheets(attributes: Attributes) -> tuple[Media, ...]:
    if database := attributes.collections("media-col-database"):
        return tuple(read_media(one) for one in database)
    lying = (*attributes.collections("media-col-ready"), *attributes.collections("media-col-default"))
    named = (read_media_name(name) for name in attributes.words("media-supported"))
    return (*(read_media(one) for one in lying), *(one for one in named if one))


def _widest(rims: Iterable[Margins]) -> Margins:
    tops, rights, bottoms, lefts = zip(*((rim.top, rim.right, rim.bottom, rim.left) for rim in rims), strict=True)
    return Margins(top=max(tops), right=max(rights), bottom=max(bottoms), left=max(lefts))


def _turned(rim: Margins) -> Margins:
    ends: Fraction = max(rim.left, rim.right)
    sides: Fraction = max(rim.top, rim.bottom)
    return Margins(top=ends, right=sides, bottom=ends, left=sides)
