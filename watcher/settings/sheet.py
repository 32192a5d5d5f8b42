"""`[sheets.NAME]`: one paper in one printer."""

from fractions import Fraction

from watcher.layout.geometry import Margins
from watcher.settings import fields
from watcher.settings.card import CardSettings
from watcher.settings.table import Table
from watcher.terms import Copies, Marks, Prefer
from watcher.units import inches_to_mm, points_to_mm

_QUARTER_INCH = inches_to_mm(Fraction(1, 4))


class SheetSettings(Table):
    """`[sheets.NAME]`: one paper in one printer.

    Attributes:
        name: from the heading of the table.
        size: the whole sheet as its front is read, mm.
        unprintable: the printer's rim on the front page, mm.
        unprintable_back: the rim in the axes of the back page, mm; None: it follows from the printer.
        gutter: least width of the lane between two cards, mm; None: twice the bleed of the card.
        marks: which cutting marks are drawn.
        slug: whether the line of small print and the ruler are drawn.
        mixed_turns: whether upright and turned cards may share a sheet.
        prefer: what a layout is chosen for.
        copies: how the number of sheets reaches the printer.
        gang: whether different orders may share this sheet.
        gang_wait: seconds an order waits for others to share with.
        gang_layouts: most kinds of sheet in one run, 1 or 2.
        paper: what the paper is, for people.
        thickness: of one sheet, mm; None: not known.
        grain: along which side of the sheet its fibres lie; None: not known.
        register_crosses: whether crosses are drawn that show how well front and back align.
        mark_weight: thickness of the marks, mm.
        cutter: name of the cutter; None: a guillotine.
        tray: where it lies, in the printer's own word; None: the one tray that holds this size.
        stock: what the printer is told it is, in the printer's own word; None: what the printer knows of that tray.
        quality: how finely it is printed; None: as the printer is set.
        printer: name of the printer.
        price: of one sheet of this paper, or None.
    """

    name: fields.Name
    size: fields.CardSize
    unprintable: fields.Rim = Margins.all_round(_QUARTER_INCH)
    unprintable_back: fields.Rim | None = None
    gutter: fields.Length | None = None
    marks: fields.MarksWord = Marks.CROP
    slug: fields.YesOrNo = True
    mixed_turns: fields.YesOrNo = True
    prefer: fields.PreferWord = Prefer.MOST_CARDS
    copies: fields.CopiesWord = Copies.ONCE
    gang: fields.YesOrNo = False
    gang_wait: fields.Seconds = 2.0 * 3600
    gang_layouts: fields.Layouts = 1
    paper: fields.Text = ""
    thickness: fields.Thickness | None = None
    grain: fields.GrainWord | None = None
    register_crosses: fields.YesOrNo = False
    mark_weight: fields.LineWeight = points_to_mm(Fraction(1, 4))
    cutter: fields.Name | None = None
    tray: fields.PrinterOwnWord | None = None
    stock: fields.PrinterOwnWord | None = None
    quality: fields.QualityWord | None = None
    printer: fields.Name
    price: fields.Price | None = None

    def gutter_for(self, card: CardSettings) -> Fraction:
        """The gutter between two of these cards, mm."""
        return 2 * card.bleed if self.gutter is None else self.gutter
