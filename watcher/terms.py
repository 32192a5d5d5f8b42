"""The trade's words as enums, and the record of a finding: the vocabulary of every room. Imports nothing of ours."""

from dataclasses import dataclass
from enum import IntEnum, StrEnum


class Side(StrEnum):
    """One face of a card or of a sheet."""

    FRONT = "front"
    BACK = "back"

    @property
    def other(self) -> "Side":
        """The face behind this one."""
        return Side.BACK if self is Side.FRONT else Side.FRONT


class Turn(IntEnum):
    """A turn in quarters, in degrees counter-clockwise as the page is read."""

    NONE = 0
    LEFT = 90
    HALF = 180
    RIGHT = 270

    @classmethod
    def of(cls, degrees: int) -> "Turn":
        """The turn by any multiple of 90 degrees; ValueError for other angles."""
        return cls(degrees % 360)

    @property
    def swaps_sides(self) -> bool:
        """Whether width and height change places."""
        return self in (Turn.LEFT, Turn.RIGHT)


ONE_SIDED = "one-sided"  # the `sides` keyword of a file that is printed on one side (RFC 8011 5.2.8)
SIMPLEX = "/Simplex"  # the `/Duplex` name of such a file (ISO 32000-1 Table 150)


class Flip(StrEnum):
    """The edge on which the printer turns the sheet, and what it is called wherever it has a name.

    Attributes:
        words: for people: `long edge`.
        length: of the edge, for people: `long`.
        sides: the `sides` keyword of RFC 8011 5.2.8.
        duplex_name: the `/Duplex` name of ISO 32000-1 Table 150.
        dialog_word: what drivers call it for an upright page (common practice, no source).
    """

    LONG_EDGE = "long-edge", "long", "two-sided-long-edge", "/DuplexFlipLongEdge", "book"
    SHORT_EDGE = "short-edge", "short", "two-sided-short-edge", "/DuplexFlipShortEdge", "tablet"

    length: str
    sides: str
    duplex_name: str
    dialog_word: str

    def __new__(
        cls, value: str, length: str = "", sides: str = "", duplex_name: str = "", dialog_word: str = ""
    ) -> "Flip":
        """A row of the table; only the first is the value."""
        flip = str.__new__(cls, value)
        flip._value_ = value
        flip.length, flip.sides, flip.duplex_name, flip.dialog_word = length, sides, duplex_name, dialog_word
        return flip

    @property
    def words(self) -> str:
        """The edge for people: `long edge`."""
        return f"{self.length} edge"

    @property
    def other(self) -> "Flip":
        """The other edge."""
        return Flip.SHORT_EDGE if self is Flip.LONG_EDGE else Flip.LONG_EDGE


class Backs(StrEnum):
    """Which way up a card's back stands, seen from its front."""

    HEAD_TO_HEAD = "head-to-head"  # turn the card like a book page and the back reads upright
    HEAD_TO_TOE = "head-to-toe"  # turn the card like a wall calendar and the back reads upright


class Duplex(StrEnum):
    """Who turns the sheet between front and back."""

    AUTOMATIC = "automatic"  # the printer, within one job
    MANUAL = "manual"  # the person, who puts the stack back in


class ReadableBy(StrEnum):
    """Who may read the files and folders that are made here, beside the person as whom this program runs."""

    ME = "me"  # nobody else
    GROUP = "group"  # the members of that person's group
    EVERYONE = "everyone"  # everybody who can log in to this computer, its web server too

    @property
    def umask(self) -> int:
        """The rights that new files do not get (umask(2), POSIX.1-2017)."""
        return {ReadableBy.ME: 0o077, ReadableBy.GROUP: 0o027, ReadableBy.EVERYONE: 0o022}[self]


class Send(StrEnum):
    """When a printer with a queue gets an order's sheets."""

    ASKED = "asked"  # when somebody asks for it
    MADE = "made"  # when it is made, once a first sheet of such an order was found good


class Quality(StrEnum):
    """How finely a printer prints; `number` is the `print-quality` of RFC 8011 5.2.13."""

    DRAFT = "draft"
    NORMAL = "normal"
    HIGH = "high"

    @property
    def number(self) -> int:
        """The enum value a printer is told."""
        return {Quality.DRAFT: 3, Quality.NORMAL: 4, Quality.HIGH: 5}[self]


class PageOrder(StrEnum):
    """The order in which the sheets of a stack are printed on again (PWG 5100.3, `page-order-received`)."""

    ONE_TO_N = "1-to-n"  # as they were printed the first time
    N_TO_ONE = "n-to-1"  # the last one first

    @property
    def reversed(self) -> "PageOrder":
        """The other one: that of the same stack turned over."""
        return PageOrder.N_TO_ONE if self is PageOrder.ONE_TO_N else PageOrder.ONE_TO_N


class Feed(StrEnum):
    """The edge of the sheet that enters the printer first."""

    SHORT_EDGE = "short-edge"
    LONG_EDGE = "long-edge"


class Edge(StrEnum):
    """An edge of the sheet as its front is read."""

    TOP = "top"
    RIGHT = "right"
    BOTTOM = "bottom"
    LEFT = "left"


class Level(StrEnum):
    """How grave a finding is."""

    NOTE = "note"  # worth knowing, nothing to do
    WARN = "warn"  # made, but look at it
    HOLD = "hold"  # the order is held; the person may accept it
    REFUSE = "refuse"  # the order is held and cannot be made from this file, whatever the person says


@dataclass(frozen=True, kw_only=True)
class Finding:
    """Something that was found about an order: a note, a warning, or a reason to hold it.

    Attributes:
        level: how grave.
        code: stable word for machines, kebab-case ("low-resolution").
        message: one plain sentence with both numbers and the way out.
        side: the side it is about, or None for the order.
    """

    level: Level
    code: str
    message: str
    side: Side | None = None


class ShapeMismatch(StrEnum):
    """What is done with art whose shape is not the card's."""

    HOLD = "hold"  # the order is held, with the numbers
    CROP = "crop"  # fill the card, centred; what stands over is cut off
    PAD = "pad"  # show all of the art, centred on paper colour


class Quarter(StrEnum):
    """Which way art that lies on its side is turned upright."""

    LEFT = "left"  # counter-clockwise: what was its top comes to lie at the left
    RIGHT = "right"  # clockwise: what was its top comes to lie at the right

    @property
    def turn(self) -> Turn:
        """The quarter as a `Turn`."""
        return Turn.LEFT if self is Quarter.LEFT else Turn.RIGHT


class MakeBleed(StrEnum):
    """How bleed is made for art that has none."""

    MIRROR = "mirror"  # the art reflected at its edge
    EXTEND = "extend"  # the outermost pixels run out
    NONE = "none"  # paper shows if the cut is off


class EarlierUse(StrEnum):
    """When art that came with an earlier try at an order may be used with newer art of the same order."""

    MENDED = "mended"  # it was held: when nothing newer has come for a while
    AWAITED = "awaited"  # it waits for its other half: at once
    ACCEPTED = "accepted"  # its folder was renamed "ORDER ok": it is what is to be printed
    WANTED = "wanted"  # its folder was moved back into the inbox: at once, and instead of waiting


class HeldFor(StrEnum):
    """What a held order needs."""

    ART = "art"  # something about its files must be seen or mended
    YES = "yes"  # nothing is wrong: the customer is to see the card first
    FAULT = "fault"  # the program itself went wrong over it


class Prefer(StrEnum):
    """What a layout is chosen for when both cannot be had."""

    MOST_CARDS = "most cards"
    FEWEST_CUTS = "fewest cuts"


class Marks(StrEnum):
    """Which cutting marks a sheet carries."""

    CROP = "crop"
    NONE = "none"


class Copies(StrEnum):
    """How the number of sheets reaches the printer."""

    ONCE = "once"  # each page once in the file; the person asks for N copies
    PAGES = "pages"  # the pages repeated in the file


class Sequencing(StrEnum):
    """How the designs of one order follow each other."""

    ACROSS = "across"  # from place to place, then on to the next sheet
    STACKS = "stacks"  # down the stack of each place: put on each other after cutting, the stacks lie in order


class Placeholder(StrEnum):
    """What the shop's own command (`on_finished`) can be given, each in braces anywhere in its words."""

    SHEETS = "sheets"  # a file of sheets, with its folder
    COPIES = "copies"  # how many copies of that file are printed
    SIDES = "sides"  # as IPP names it (RFC 8011 5.2.8): one-sided, two-sided-long-edge, two-sided-short-edge
    MEDIA = "media"  # the paper as IPP names it (PWG 5101.1): na_letter_8.5x11in
    ORDER = "order"  # the name of the folder in the outbox
    TICKET = "ticket"  # the order's ticket, with its folder; in the archive, where nobody collects it

    @property
    def written(self) -> str:
        """The placeholder as the command has it, in braces."""
        return f"{{{self}}}"

    @property
    def is_of_a_file(self) -> bool:
        """Whether each file of an order has its own."""
        return self in (Placeholder.SHEETS, Placeholder.COPIES, Placeholder.SIDES, Placeholder.MEDIA)


class Events(StrEnum):
    """Where the hint to look at the inbox comes from."""

    NATIVE = "native"  # the operating system's file events, and the rescan
    POLLING = "polling"  # the rescan alone


class Engine(StrEnum):
    """Where orders are made."""

    LOCAL = "local"  # in worker processes of this machine
    DASK = "dask"  # on the machines of a Dask cluster


class PaperEdge(StrEnum):
    """Whether art that is bare paper at its edge may reach into the unprintable rim."""

    NO = "no"
    MEASURE = "measure"


class CutterKind(StrEnum):
    """What parts the cards."""

    GUILLOTINE = "guillotine"  # a clamp holds the pile, the knife comes down at a back gauge
    TRIMMER = "trimmer"  # a blade runs along a rail; a few sheets at a time
    SCISSORS = "scissors"  # along the marks, a sheet at a time


class Fold(StrEnum):
    """The edge of the folded card at which it is folded."""

    LEFT = "left"  # opens like a book
    TOP = "top"  # opens like a tent or a wall calendar


class Grain(StrEnum):
    """The side of the sheet along which the fibres of the paper lie."""

    LONG = "long"
    SHORT = "short"


class PrinterKind(StrEnum):
    """What puts the ink on the paper."""

    LASER = "laser"
    INKJET = "inkjet"  # fronts must dry before the backs are printed
