"""`[cards.NAME]`: one kind of card."""

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

from pydantic import Field

from watcher.layout.geometry import Size
from watcher.settings import fields
from watcher.settings.amounts import NO_OVERS
from watcher.settings.table import Table
from watcher.terms import Backs, Fold, MakeBleed, PaperEdge, Sequencing, ShapeMismatch, Side


class CardSettings(Table):
    """`[cards.NAME]`: one kind of card.

    Attributes:
        name: from the heading of the table.
        trim: the finished card as it is read, folded if it is folded; mm.
        fold: the edge at which it is folded; None: it stays flat.
        bleed: how far art reaches past the trim, mm.
        least_bleed: how much of that must be printable on the outside of the sheet, mm.
        art_bleed: the bleed that the art itself has, mm, where its size cannot tell; None: its size tells.
        safe: width of the safe zone inside the trim, mm; nothing that matters may lie in it.
        sides: 1 or 2.
        backs: which way up the back stands.
        sheet: name of the sheet it is printed on.
        quantity: cards of an order that gives no number.
        overs: spare cards.
        common_back, common_front: one side that is the same for every order, or None.
        shape_mismatch: what is done with art of another shape.
        back_quarter: which way a back is turned that lies on its side beside its front; None: it is held.
        make_bleed: how bleed is made for art without any.
        warn_ppi, hold_ppi: resolution below which an order is made with a warning, or held.
        paper_edge: whether white edges of the art may reach into the rim.
        sequence: how the designs of one order follow each other on the sheets and in the cut stacks.
        approve: whether each order waits for a yes to the picture of its card before it is made.
        corner: radius of its rounded corners, mm; 0 for square ones.
        envelope: the size of the envelope it goes into, mm, or None.
        label: the size of the labels for its bundles, mm; None: as in `[defaults]`.
        bundle: cards in a bundle; None: as in `[defaults]`.
    """

    name: fields.Name
    trim: fields.CardSize
    fold: fields.FoldWord | None = None
    bleed: fields.Length = Fraction(0)
    least_bleed: fields.Length = Field(default_factory=lambda card: card["bleed"])
    art_bleed: fields.Length | None = None
    safe: fields.Length = Fraction(3)
    sides: fields.Sides = 2
    backs: fields.BacksWord = Backs.HEAD_TO_HEAD
    sheet: fields.Name
    quantity: fields.Quantity = 1
    overs: fields.Spare = NO_OVERS
    common_back: fields.Place | None = None
    common_front: fields.Place | None = None
    shape_mismatch: fields.MismatchWord = ShapeMismatch.HOLD
    back_quarter: fields.QuarterWord | None = None
    make_bleed: fields.MakeBleedWord = MakeBleed.MIRROR
    warn_ppi: fields.Resolution = 225
    hold_ppi: fields.Resolution = 150
    paper_edge: fields.PaperEdgeWord = PaperEdge.NO
    sequence: fields.SequenceWord = Sequencing.ACROSS
    approve: fields.YesOrNo = False
    corner: fields.Length = Fraction(0)
    envelope: fields.CardSize | None = None
    label: fields.CardSize | None = None
    bundle: fields.Quantity | None = None

    @property
    def common_art(self) -> Mapping[Side, Path]:
        """The files of art that every order of the card shares, by side."""
        common = {Side.FRONT: self.common_front, Side.BACK: self.common_back}
        return {
            side: path for side, path in common.items() if path is not None and (self.sides == 2 or side is Side.FRONT)
        }

    @property
    def flat(self) -> Size:
        """The size of the card as it is cut: opened out when it is folded, mm."""
        match self.fold:
            case Fold.LEFT:
                return Size(2 * self.trim.width, self.trim.height)
            case Fold.TOP:
                return Size(self.trim.width, 2 * self.trim.height)
        return self.trim

    @property
    def opened_out(self) -> "CardSettings":
        """The card as it is printed: `trim` is the spread opened out, `backs` follows from the fold.

        A card that is folded at the left opens like a book, one that is folded at the top like a wall calendar.
        """
        if self.fold is None:
            return self
        backs = Backs.HEAD_TO_HEAD if self.fold is Fold.LEFT else Backs.HEAD_TO_TOE
        return self.model_copy(update={"trim": self.flat, "backs": backs, "fold": None})

    @property
    def on_its_side(self) -> "CardSettings":
        """The same card for art that is read with its width and height exchanged; a folded card cannot be read so.

        `backs` then holds for the card as that art is read, and the envelope lies as the card does.
        """
        if self.fold is not None:
            return self
        envelope = Size(self.envelope.height, self.envelope.width) if self.envelope else None
        return self.model_copy(update={"trim": Size(self.trim.height, self.trim.width), "envelope": envelope})
