"""The settings as frozen records, one per table of `settings.toml`; attribute names are the keys of the file.

Every default stands here and nowhere else. Lengths are exact millimetres, times are seconds, paths are absolute once
`load` has read the file.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from watcher.errors import WrongUsage
from watcher.layout.geometry import Margins, Size
from watcher.settings import fields
from watcher.settings.amounts import NO_OVERS, Pile
from watcher.settings.fingerprint import fingerprint
from watcher.terms import (
    Backs,
    Copies,
    CutterKind,
    Duplex,
    Engine,
    Events,
    Feed,
    Flip,
    Fold,
    MakeBleed,
    Marks,
    PaperEdge,
    Prefer,
    PrinterKind,
    ReadableBy,
    Send,
    Sequencing,
    ShapeMismatch,
    Side,
)
from watcher.units import inches_to_mm, points_to_mm

QUARTER_INCH = inches_to_mm(Fraction(1, 4))
PILES = {
    CutterKind.GUILLOTINE: Pile(height=Fraction(40)),
    CutterKind.TRIMMER: Pile(sheets=3),
    CutterKind.SCISSORS: Pile(sheets=1),
}
LEAST_GAUGES = {CutterKind.GUILLOTINE: Fraction(30), CutterKind.TRIMMER: Fraction(0), CutterKind.SCISSORS: Fraction(0)}


class Table(BaseModel):
    """One table of the settings file: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


class DefaultsSettings(Table):
    """`[defaults]`: what holds where a card says nothing else.

    Attributes:
        card: for art at the top level of the inbox.
        label: the size of the labels for bundles of finished cards, mm; None: no labels.
        bundle: cards in a bundle.
    """

    card: fields.Name = "invitation"
    label: fields.CardSize | None = None
    bundle: fields.Quantity = 50


class FolderSettings(Table):
    """`[folders]`: where things come in, go out and are kept."""

    model_config = ConfigDict(validate_default=True)  # a default is relative to the file, as a written path is

    inbox: fields.Place = Path("inbox")
    outbox: fields.Place = Path("outbox")
    held: fields.Place = Path("held")
    archive: fields.Place = Path("archive")
    state: fields.Place = Path("state")


class NameSettings(Table):
    """`[names]`: the words in a name that say which side it is.

    The first of each list is the one that is proposed. English, German, French, Spanish and Portuguese, Italian,
    Dutch, the Nordic languages, Polish, Russian, Chinese and Japanese; from memory.
    """

    front: fields.SideWords = (
        "front",
        "Vorderseite",
        "vorne",
        "recto",
        "avant",
        "devant",
        "frente",
        "anverso",
        "fronte",
        "voorkant",
        "voorzijde",
        "forside",
        "framsida",
        "etupuoli",
        "przód",
        "лицо",
        "正面",
        "表",
    )
    back: fields.SideWords = (
        "back",
        "Rückseite",
        "hinten",
        "verso",
        "arrière",
        "derrière",
        "dorso",
        "reverso",
        "retro",
        "achterkant",
        "achterzijde",
        "bagside",
        "bakside",
        "baksida",
        "takapuoli",
        "tył",
        "оборот",
        "背面",
        "裏",
    )


class ServiceSettings(Table):
    """`[service]`: how the inbox is watched.

    Attributes:
        quiet: seconds a file must rest before it is taken.
        rescan: seconds between two looks at the whole inbox.
        wait_for_other_side: seconds that a front or back waits for its other side before it is held.
        give_up: seconds after its last change until an incomplete file is held.
        events: what reports changes in the inbox.
        workers: orders made at the same time.
        on_finished: a command and its arguments for each finished order; empty for none.
        keep: seconds for which the archive keeps an order for repeats, or None: for ever.
        keep_printed: seconds for which the folder of a printed order stays in the outbox.
        read_back: whether every finished sheet is rendered, compared with its art and shown in the preview.
        engine: where orders are made.
        scheduler: address of the scheduler of a Dask cluster, or None.
        money: what prices are in; empty where it is not said.
        readable_by: who else may read what is made.
        sync_marks: more names of files and folders by which the folder of a sync program is known.
    """

    quiet: fields.Seconds = 2.0
    rescan: fields.Seconds = 30.0
    wait_for_other_side: fields.Seconds = 15 * 60.0
    give_up: fields.Seconds = 10 * 60.0
    events: fields.EventsWord = Events.NATIVE
    workers: fields.Workers = 2
    on_finished: fields.Command = ()
    keep: fields.Keep | None = None
    keep_printed: fields.Seconds = 30.0 * 86_400
    read_back: fields.YesOrNo = True
    engine: fields.EngineWord = Engine.LOCAL
    scheduler: fields.SchedulerAddress | None = None
    money: fields.Money = ""
    readable_by: fields.ReadableByWord = ReadableBy.ME
    sync_marks: fields.FileNames = ()


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
    unprintable: fields.Rim = Margins.all_round(QUARTER_INCH)
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


class CutterSettings(Table):
    """`[cutters.NAME]`: what cuts the cards apart.

    Attributes:
        name: from the heading of the table.
        kind: the kind of cutter.
        pile: how much paper it cuts at a time.
        least_gauge: the shortest distance from its gauge to the knife, mm.
    """

    name: fields.Name
    kind: fields.CutterWord = CutterKind.GUILLOTINE
    pile: fields.PileHeight = Field(default_factory=lambda cutter: PILES[cutter["kind"]])
    least_gauge: fields.Length = Field(default_factory=lambda cutter: LEAST_GAUGES[cutter["kind"]])


GUILLOTINE = CutterSettings(name="guillotine")  # where a sheet names none


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


class Settings(Table):
    """The settings of one print folder. `path` (the file) and `folder` (the folder it is in) are absolute."""

    path: Path
    folder: Path
    defaults: DefaultsSettings
    folders: FolderSettings
    names: NameSettings
    service: ServiceSettings
    cards: Mapping[str, CardSettings]
    sheets: Mapping[str, SheetSettings]
    printers: Mapping[str, PrinterSettings]
    cutters: Mapping[str, CutterSettings] = Field(default_factory=dict)

    def card(self, name: str) -> CardSettings:
        """The card of that name, as written or, failing that, whatever its capitals; WrongUsage when there is none."""
        return self.cards[_find(name, self.cards, "card")]

    def sheet_for(self, card: CardSettings, sheet_name: str | None = None) -> SheetSettings:
        """The sheet that was asked for, else the card's own; WrongUsage when there is none of that name."""
        return self.sheets[_find(sheet_name or card.sheet, self.sheets, "sheet")]

    def printer_for(self, sheet: SheetSettings) -> PrinterSettings:
        """The printer that takes the sheet."""
        return self.printers[_find(sheet.printer, self.printers, "printer")]

    def cutter_for(self, sheet: SheetSettings) -> CutterSettings:
        """The cutter that the sheet names, else a guillotine."""
        if sheet.cutter is None:
            return GUILLOTINE
        return self.cutters[_find(sheet.cutter, self.cutters, "cutter")]

    def fingerprint(self, card_name: str, sheet_name: str | None = None) -> str:
        """The sha256 of every setting that shapes this card on this sheet; see `fingerprint.fingerprint`."""
        card = self.card(card_name)
        sheet = self.sheet_for(card, sheet_name)
        printer = self.printer_for(sheet)
        cutter = self.cutter_for(sheet) if sheet.cutter else None
        return fingerprint(card, sheet, printer, printer.align_for(sheet), cutter)


def _find(name: str, there: Iterable[str], kind: str) -> str:
    """The name as the settings write it."""
    names = list(there)
    if name in names:
        return name
    for known in names:
        if fields.fold(known) == fields.fold(name):
            return known
    listed = ", ".join(f'"{known}"' for known in sorted(names)) or "none"
    raise WrongUsage(f'There is no {kind} "{name}" in the settings; there is: {listed}.')
