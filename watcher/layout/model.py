"""The records that go into and come out of the layout."""

from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.cached_hash import cached_hash
from watcher.layout.geometry import Box, Margins, Point, Size
from watcher.terms import Backs, Duplex, Edge, Feed, Flip, Prefer, Turn


@dataclass(frozen=True, kw_only=True)
class WhiteEdges:
    """The width of the white edges of each side of a card: bare paper inside its trim, as that side is read; mm.

    `back` is None when one-sided.
    """

    front: Margins
    back: Margins | None = None


@dataclass(frozen=True, kw_only=True)
class LayoutRequest:
    """What a layout is made from; mm.

    Attributes:
        sheet: the whole sheet as its front is read.
        trim: the finished card as it is read.
        bleed: how far art reaches past the trim where there is room.
        least_bleed: how much of that must be printable around the block of cards.
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
        cards_wanted: quantity with overs; used only under `Prefer.FEWEST_CUTS`.
        bare: white edges that let the cards reach into the rim; None: no card may.
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
    bare: WhiteEdges | None = None


@dataclass(frozen=True, kw_only=True)
class Face:
    """One face of a card as it lies on one page.

    Attributes:
        trim: the card's trim box on that page, mm.
        bleed_box: the part of that page that this card may ink: the trim and as much bleed as there is room for.
        turn: how far the art is turned on that page.
    """

    trim: Box
    bleed_box: Box
    turn: Turn


@dataclass(frozen=True, kw_only=True)
class Place:
    """One card's place: its front and, on a two-sided sheet, its back in the axes of the back page.

    `number` counts from 1 as the front page is read: top row first, left to right.
    """

    number: int
    front: Face
    back: Face | None


@cached_hash
@dataclass(frozen=True, kw_only=True)
class Mark:
    """A straight mark from `start` to `end`, mm, axis-parallel; dashed where the card is not cut but folded."""

    start: Point
    end: Point
    dashed: bool = False

    @property
    def box(self) -> Box:
        """The mark as a box without width or height."""
        xs, ys = sorted((self.start.x, self.end.x)), sorted((self.start.y, self.end.y))
        return Box(xs[0], ys[0], xs[1], ys[1])


@dataclass(frozen=True, kw_only=True)
class SlugPlace:
    """A strip for small print: `box` on the page, read along `turn` (NONE or LEFT)."""

    box: Box
    turn: Turn


@cached_hash
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
        cut_lines: straight cuts that part the cards, blocks cut together; an estimate to choose by (`cuts` is exact).
        mixed: whether upright and turned cards share the sheet.
        in_rim: whether cards reach into the rim with white edges.
    """

    sheet: Size
    trim: Size
    bleed: Fraction
    places: tuple[Place, ...]
    printable: Box
    flip: Flip | None
    cut_lines: int
    mixed: bool
    in_rim: bool = False

    @property
    def up(self) -> int:
        """How many cards the sheet holds."""
        return len(self.places)

    @property
    def waste(self) -> Fraction:
        """The fraction of the sheet that is no card, 0 to 1."""
        cards = self.up * self.trim.width * self.trim.height
        return 1 - cards / (self.sheet.width * self.sheet.height)


@dataclass(frozen=True, kw_only=True)
class CutPiece:
    """A piece of paper in a cut plan.

    Attributes:
        name: unique in its plan: `sheet`, a letter, or `card 7` for a finished place.
        box: where it lay on the sheet, axes of the front page, mm.
        cards: numbers of the places on it, rising.
    """

    name: str
    box: Box
    cards: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Stroke:
    """One stroke of the knife, through one or several pieces that lie side by side at the same gauge.

    Attributes:
        number: from 1, in the order in which they are made.
        against: the edge that lies at the gauge, in the axes of the front page.
        gauge: distance from that edge to the knife, mm.
        line: the cut on the sheet, mm from the left edge of its front or, when level, from its bottom edge.
        pieces: what is cut.
        gives: for each of them the part at the gauge and the part beyond; None for waste.
        to_the_mark: gauged from an edge as it left the printer; the mark, not the measure, says where to cut.
    """

    number: int
    against: Edge
    gauge: Fraction
    line: Fraction
    pieces: tuple[CutPiece, ...]
    gives: tuple[tuple[CutPiece, CutPiece | None], ...]
    to_the_mark: bool

    @property
    def is_upright(self) -> bool:
        """Whether the knife runs along the height of the front page."""
        return self.against in (Edge.LEFT, Edge.RIGHT)


@cached_hash
@dataclass(frozen=True, kw_only=True)
class CutPlan:
    """The strokes that part a sheet into its cards.

    Attributes:
        strokes: in order; none when the one card is the sheet itself.
        least_gauge: what was asked for, mm.
    """

    strokes: tuple[Stroke, ...]
    least_gauge: Fraction

    @property
    def too_short(self) -> tuple[Stroke, ...]:
        """Strokes whose gauge is shorter than the cutter can hold; cards so small cannot be cut otherwise."""
        return tuple(stroke for stroke in self.strokes if stroke.gauge < self.least_gauge)
