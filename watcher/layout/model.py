"""The records that go into and come out of the layout stage."""

from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.geometry import Box, Margins, Point, Size
from watcher.terms import Backs, Duplex, Feed, Flip, Prefer, Turn


@dataclass(frozen=True, kw_only=True)
class LayoutRequest:
    """All that decides where cards lie; mm.

    Attributes:
        sheet: the whole sheet as its front is read.
        trim: the finished card as it is read.
        bleed: how far art reaches past the trim where there is room.
        least_bleed: how much of that must be printable on the outside.
        gutter: least width of every lane between two trims.
        unprintable: the printer's rim on the front page.
        unprintable_back: the rim in the axes of the back page; None: derived from the printer (see `printable`).
        two_sided: whether the sheet carries backs.
        flip: the edge the sheet is turned on; None only when one-sided.
        duplex: who turns it.
        feed: which edge enters the printer first.
        backs: which way up a back stands.
        mixed_turns: whether upright and turned cards may share a sheet.
        prefer: most cards, or the plain grid where it costs no sheet.
        cards_wanted: quantity with overs; decides only under `Prefer.FEWEST_CUTS`.
    """

    sheet: Size
    trim: Size
    bleed: Fraction
    least_bleed: Fraction
    gutter: Fraction
    unprintable: Margins
    unprintable_back: Margins | None
    two_sided: bool
    flip: Flip | None
    duplex: Duplex
    feed: Feed
    backs: Backs
    mixed_turns: bool
    prefer: Prefer
    cards_wanted: int


@dataclass(frozen=True, kw_only=True)
class Face:
    """One face of a card as it lies on one page.

    Attributes:
        trim: the card's trim box on that page, mm.
        paint: the part of the page this card may put ink on: the trim and as much bleed as there is room for.
        turn: how far the art is turned on that page.
    """

    trim: Box
    paint: Box
    turn: Turn


@dataclass(frozen=True, kw_only=True)
class Place:
    """One card's place: its front and, on a two-sided sheet, its back in the axes of the back page.

    `number` counts from 1 as the front page is read: top row first, left to right.
    """

    number: int
    front: Face
    back: Face | None


@dataclass(frozen=True, kw_only=True)
class Mark:
    """A straight cutting mark from `start` to `end`, mm, axis-parallel."""

    start: Point
    end: Point


@dataclass(frozen=True, kw_only=True)
class SlugPlace:
    """A strip for small print: `box` on the page, read along `turn` (NONE or LEFT)."""

    box: Box
    turn: Turn


@dataclass(frozen=True, kw_only=True)
class Layout:
    """A solved sheet.

    Attributes:
        sheet: the whole sheet.
        trim: the finished card.
        bleed: as asked.
        places: by number.
        printable: where both faces can carry ink, in the axes of the front page.
        flip: None when one-sided.
        cut_lines: how many straight cuts part the cards, blocks cut together (used to choose; the cut plan is exact).
        mixed: whether upright and turned cards share the sheet.
    """

    sheet: Size
    trim: Size
    bleed: Fraction
    places: tuple[Place, ...]
    printable: Box
    flip: Flip | None
    cut_lines: int
    mixed: bool

    @property
    def up(self) -> int:
        """How many cards the sheet holds."""
        return len(self.places)

    @property
    def waste(self) -> Fraction:
        """The part of the sheet that is no card, 0 to 1."""
        cards = self.up * self.trim.width * self.trim.height
        return 1 - cards / (self.sheet.width * self.sheet.height)
