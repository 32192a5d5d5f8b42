"""The records of the orders stage."""

from dataclasses import dataclass
from datetime import date

from watcher.inbox.scan import SeenFile
from watcher.intake.unpack import Found
from watcher.settings.values import Overs
from watcher.terms import Side


@dataclass(frozen=True, kw_only=True)
class Ticket:
    """A job ticket as it was dropped: what it says, None where it is silent.

    `sheets_only` and `as_before` go with `repeat` alone; see `Repeat`.
    """

    quantity: int | None = None
    card: str | None = None
    sheet: str | None = None
    overs: Overs | None = None
    due: date | None = None
    note: str | None = None
    repeat: str | None = None
    approve: bool | None = None
    sheets_only: int | None = None
    as_before: bool = False
    now: bool = False


@dataclass(frozen=True, kw_only=True)
class Repeat:
    """An order that is to be made again out of the archive, and what shall be otherwise this time.

    Attributes:
        order: the name it is asked for by.
        quantity, overs, sheet: other ones than the first time, or None. `overs` is the text as people write it.
        sheets_only: so many sheets and no more, in place of spoiled ones; None: as many as the cards take.
        as_before: with the settings of the first time, whatever they are now.
    """

    order: str
    quantity: int | None = None
    overs: str | None = None
    sheet: str | None = None
    sheets_only: int | None = None
    as_before: bool = False


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One side of an order and where its art was found; `page` counts from 0 and is None for an image."""

    side: Side
    found: Found
    page: int | None = None


@dataclass(frozen=True, kw_only=True)
class Planned:
    """What lies in the inbox under one name, put together.

    It is complete when `fault`, `missing` and `arriving` all say nothing.

    Attributes:
        name: the order's name as written.
        folder: the card folder it lay in, None for the top of the inbox.
        card, sheet: names in the settings; empty when a fault kept them from being known.
        quantity, overs, due, note: as ordered.
        approve: whether its ticket asks for a yes to the picture of the card; None: as the card's settings say.
        pieces: the sides found.
        beside: job tickets and identical copies, which travel with the order.
        repeat: what is to be made again out of the archive, when it is that; it has no art of its own then.
        accepted: the person has seen the soft findings and wants it printed.
        now: it waits for no other orders to share its sheets.
        fault: why this can never be made as it is, or None.
        missing: the side (or, for a lone job ticket, the art) that has not come, or None.
        arriving: something of it is still being written.
    """

    name: str
    key: str
    folder: str | None
    card: str = ""
    sheet: str = ""
    quantity: int = 1
    overs: Overs | None = None
    due: date | None = None
    note: str | None = None
    approve: bool | None = None
    pieces: tuple[Piece, ...] = ()
    beside: tuple[Found, ...] = ()
    repeat: Repeat | None = None
    accepted: bool = False
    now: bool = False
    fault: str | None = None
    missing: str | None = None
    arriving: bool = False

    @property
    def files(self) -> tuple[SeenFile, ...]:
        """Every file of the order, once each."""
        of_pieces = [piece.found.file for piece in self.pieces]
        return tuple({file.path: file for file in [*of_pieces, *(found.file for found in self.beside)]}.values())


@dataclass(frozen=True, kw_only=True)
class ArtSource:
    """Where one side's art is: a file, a member of a ZIP or a page of a PDF.

    Attributes:
        side: the face it is for.
        file: name of the file in the order's folder.
        sha256: of the art: of the file, or of the member inside a ZIP.
        member: the name to open inside the ZIP, or None.
        member_name: that name for people.
        page: page of a PDF from 0; None for images.
        file_sha256: of the whole ZIP that a member is in; None for what is a file itself.
    """

    side: Side
    file: str
    sha256: str
    member: str | None = None
    member_name: str | None = None
    page: int | None = None
    file_sha256: str | None = None

    @property
    def shown(self) -> str:
        """The name for people: `1.png in spring.zip`."""
        return f"{self.member_name} in {self.file}" if self.member_name else self.file


@dataclass(frozen=True, kw_only=True)
class KeptFile:
    """A file of an order: its name in the order's folder, where it lay before, and its content.

    `sha256` is empty until the file has been read. `members` are the names, inside a ZIP, of what belongs to this
    order (art and job ticket); empty for a file that belongs to it as a whole.
    """

    name: str
    origin: str
    size: int
    sha256: str
    members: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Order:
    """An order whose files have been taken into `archive/.taking-NUMBER`.

    Attributes are those of `Planned`, with the files under their names in that folder. `overs` is the text as people
    write it. `missing` names what a lone half still waits for. A `repeat` has a job ticket for its only file, and card,
    sheet, quantity and art come from the archive when it is made.
    """

    number: int
    name: str
    key: str
    folder: str | None
    card: str
    sheet: str
    quantity: int
    overs: str
    due: str | None
    note: str | None
    accepted: bool
    art: tuple[ArtSource, ...]
    files: tuple[KeptFile, ...]
    fault: str | None = None
    missing: str | None = None
    approve: bool | None = None
    repeat: Repeat | None = None
    now: bool = False
