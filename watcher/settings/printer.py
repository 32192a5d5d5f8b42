"""`[printers.NAME]`: how one printer turns a sheet, and its corrections sheet by sheet."""

from fractions import Fraction

from pydantic import Field

from watcher.settings import fields
from watcher.settings.sheet import SheetSettings
from watcher.settings.table import Table
from watcher.terms import Duplex, Feed, Flip, PrinterKind, Send


class AlignSettings(Table):
    """`[printers.NAME.align.SHEET]`: the correction of the back page about the sheet's centre, in its own axes.

    Attributes:
        shift: to the right and up, mm.
        turn: degrees, counter-clockwise.
        scale: across and up.
    """

    shift: fields.Shift = (Fraction(0), Fraction(0))
    turn: fields.SmallTurn = 0.0
    scale: fields.Scale = (1.0, 1.0)


class PrinterSettings(Table):
    """`[printers.NAME]`: how one printer turns a sheet.

    Attributes:
        name: from the heading of the table.
        kind: the kind of printer.
        flip: the edge the sheet truly turns on; None only where no card has two sides.
        dialog_flip: the edge to choose in the print dialog, where the driver swaps the two; None: `flip`.
        duplex: who turns it.
        feed: the edge that enters first.
        lead, guide: the edges of the front that enter first and run along the guide; None until the turn test.
        reload: how the stack goes back in, in plain words; None until the turn test.
        backs_order: in which order its sheets then come, and lie in the file of the backs; None until the turn test.
        output_profile: colour profile of the press, or None; with it sheets are PDF/X-4.
        convert: whether pictures are converted to the inks of that profile.
        ink_limit: the most ink it takes, all four colours of one spot together, percent.
        queue: address of the printer or of its queue, or None: a person prints.
        send: when sheets go to the queue.
        fingerprint: SHA-256 of the certificate that the owner trusts, 64 hex digits; None: it must be a proven one.
        login_file: the file with the name and password that the queue asks for, or None.
        click: the price of one printed side, or None.
        align: corrections written by hand, by name of the sheet.
    """

    name: fields.Name
    kind: fields.PrinterWord = PrinterKind.LASER
    flip: fields.FlipWord | None = None
    dialog_flip: fields.FlipWord | None = None
    duplex: fields.DuplexWord = Duplex.AUTOMATIC
    feed: fields.FeedWord = Feed.SHORT_EDGE
    lead: fields.EdgeWord | None = None
    guide: fields.EdgeWord | None = None
    reload: fields.Text | None = None
    backs_order: fields.PageOrderWord | None = None
    output_profile: fields.Place | None = None
    convert: fields.YesOrNo = False
    ink_limit: fields.Ink = Fraction(300)
    queue: fields.PrinterAddress | None = None
    send: fields.SendWord = Send.ASKED
    fingerprint: fields.CertificateFingerprint | None = None
    login_file: fields.Place | None = None
    click: fields.Price | None = None
    align: dict[str, AlignSettings] = Field(default_factory=dict)

    @property
    def chosen_flip(self) -> Flip | None:
        """The edge to choose in the print dialog; with manual duplex, where nothing is chosen, the true one."""
        return self.flip if self.duplex is Duplex.MANUAL or self.flip is None else self.dialog_flip or self.flip

    def align_for(self, sheet: SheetSettings) -> AlignSettings | None:
        """The correction written by hand for the sheet, or None."""
        return next((align for name, align in self.align.items() if fields.fold(name) == fields.fold(sheet.name)), None)
