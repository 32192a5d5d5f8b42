"""Paper as a printer tells it: the members of `media-col` (PWG 5100.7), in exact millimetres.

A printer counts in hundredths of a millimetre. Its sheets have their short side across; a sheet of the settings is
turned to stand like that before the two are compared.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.ipp_values import Attributes, Tag, Value, numbers, words
from watcher.units import inches_to_mm

SAME_SIZE_MM = Fraction(
    1, 2
)  # printers say sizes in whole mm: 305 x 457 for 304.8 x 457.2 (common practice, no source)
_NAMED_SIZE = re.compile(
    r"^(?P<class>[a-z]+)_[a-z0-9.-]+_(?P<across>[0-9]{1,5}(\.[0-9]{1,4})?)x(?P<along>[0-9]{1,5}(\.[0-9]{1,4})?)(?P<unit>in|mm)$"
)
_EDGES = ("media-top-margin", "media-right-margin", "media-bottom-margin", "media-left-margin")


@dataclass(frozen=True, kw_only=True)
class Media:
    """One paper in one place of a printer.

    Attributes:
        size: the sheet as it lies in the printer, mm; None: not told.
        up_to: the largest sheet where it takes a range of sizes, whose smallest is `size`; None: that size alone.
        source: its tray, `media-source`; None: any.
        kind: its stock, `media-type`; None: any.
        margins: the rim that stays blank, mm; None: not told.
        lead_edge: the edge that goes in first, `long-edge` or `short-edge`; None: not told.
        name: its name, such as `na_letter_8.5x11in`; None: not told.
    """

    size: Size | None
    up_to: Size | None = None
    source: str | None = None
    kind: str | None = None
    margins: Margins | None = None
    lead_edge: str | None = None
    name: str | None = None

    def is_for(self, size: Size, source: str | None = None, kind: str | None = None) -> bool:
        """Whether it takes a sheet of a size, in a tray and of a stock where both it and the caller name them."""
        named = ((source, self.source), (kind, self.kind))
        return self.takes(size) and all(wanted is None or own is None or wanted == own for wanted, own in named)

    def takes(self, sheet: Size) -> bool:
        """Whether a sheet of this size, whichever way it lies, goes with it."""
        if self.size is None:
            return False
        if self.up_to is None:
            return same_sheet(self.size, sheet)
        across, along = sorted((sheet.width, sheet.height))
        return (
            self.size.width - SAME_SIZE_MM <= across <= self.up_to.width + SAME_SIZE_MM
            and self.size.height - SAME_SIZE_MM <= along <= self.up_to.height + SAME_SIZE_MM
        )

    @property
    def is_borderless(self) -> bool:
        """Whether it has no rim at all, which on a printer means that the page is enlarged."""
        return self.margins == Margins.all_round(Fraction(0))


def same_sheet(one: Size, other: Size) -> bool:
    """Whether two sizes are the same paper, whichever way it lies."""
    return all(
        abs(side - its) <= SAME_SIZE_MM
        for side, its in zip(sorted((one.width, one.height)), sorted((other.width, other.height)), strict=True)
    )


def read_media(attributes: Attributes) -> Media:
    """Read one media-col; what is missing or of another kind is None."""
    sizes = read_sizes(next(iter(attributes.collections("media-size")), Attributes()))
    place = next(iter(attributes.collections("media-source-properties")), Attributes())
    return Media(
        size=sizes[0] if sizes else None,
        up_to=sizes[1] if sizes and sizes[1] != sizes[0] else None,
        source=attributes.word("media-source"),
        kind=attributes.word("media-type"),
        margins=_margins(attributes),
        lead_edge=_lead_edge(place.word("media-source-feed-direction")),
        name=attributes.word("media-size-name") or attributes.word("media-key"),
    )


def read_media_name(name: str) -> Media | None:
    """Read the size out of a self-describing name such as `na_letter_8.5x11in` (PWG 5101.1 5); None for other names."""
    found = _NAMED_SIZE.search(name)
    if found is None or found["class"] == "custom":  # custom_min and custom_max are no sheets
        return None
    sides = (Fraction(found["across"]), Fraction(found["along"]))
    size = Size(*map(inches_to_mm, sides) if found["unit"] == "in" else sides)
    return Media(size=size, name=name) if size.width and size.height else None


def write_media(media: Media) -> tuple[Value, ...]:
    """Write a media-col as it goes into a job."""
    return (Value(Tag.COLLECTION, Attributes(dict(_members(media)))),)


def _members(media: Media) -> Iterator[tuple[str, tuple[Value, ...]]]:
    if media.size:
        across, along = (numbers(_hundredths(side)) for side in (media.size.width, media.size.height))
        size = Attributes({"x-dimension": across, "y-dimension": along})
        yield "media-size", (Value(Tag.COLLECTION, size),)
    if media.margins:
        rim = (media.margins.top, media.margins.right, media.margins.bottom, media.margins.left)
        for name, edge in zip(_EDGES, rim, strict=True):
            yield name, numbers(_hundredths(edge))
    if media.source:
        yield "media-source", words(Tag.KEYWORD, media.source)
    if media.kind:
        yield "media-type", words(Tag.KEYWORD, media.kind)


def read_sizes(attributes: Attributes) -> tuple[Size, Size] | None:
    """The smallest and the largest size of a media-size, mm; None where it tells none."""
    across, along = (next(iter(attributes.ranges(name)), None) for name in ("x-dimension", "y-dimension"))
    if across is None or along is None or across.lower <= 0 or along.lower <= 0:
        return None
    return (
        Size(Fraction(across.lower, 100), Fraction(along.lower, 100)),
        Size(Fraction(across.upper, 100), Fraction(along.upper, 100)),
    )


def _margins(attributes: Attributes) -> Margins | None:
    edges = [attributes.number(name) for name in _EDGES]
    known = [Fraction(edge, 100) for edge in edges if edge is not None and edge >= 0]
    return Margins(*known) if len(known) == len(_EDGES) else None


def _lead_edge(keyword: str | None) -> str | None:
    """The edge that goes in first, out of `long-edge-first` and `short-edge-first` (PWG 5100.13)."""
    return keyword.removesuffix("-first") if keyword in ("long-edge-first", "short-edge-first") else None


def _hundredths(mm: Fraction) -> int:
    return round(mm * 100)
