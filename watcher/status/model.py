"""What is known about a print folder at one moment: the one record behind the status page and `print-folder status`.

Text in these records is as it was found: names of folders and files are raw, so that links can be made from them.
Whoever shows them puts them through `records.plain_text.one_line` first.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Generic, TypeVar

from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.outbox.printing.standing import PrintStatus
from watcher.records.health import Health
from watcher.records.plain_text import one_line
from watcher.terms import Finding, HeldFor

_Entry = TypeVar("_Entry")


class ProductKind(StrEnum):
    """What a file of a finished order is for, in the order in which they are shown.

    Attributes:
        suffix: what stands in its name behind that of the order.
        words: of the link to it on the status page; empty where there is none.
    """

    SHEETS = "sheets", "_sheets.pdf", "Sheets"  # print this
    FRONTS = "fronts", "_1-fronts.pdf", "1. Fronts"  # print this first, then turn the stack
    BACKS = "backs", "_2-backs.pdf", "2. Backs"  # and then this
    INSTRUCTIONS = "instructions", "_instructions.pdf", "Instructions"  # for the person at the printer and the cutter
    PREVIEW = "preview", "_preview.png"  # a look at the finished sheet, which the instructions show too
    CARD = "card", "_card.png", "The card"  # the card as it will be cut
    LABEL = "label", "_label.pdf", "Labels"  # for its bundles
    TICKET = "ticket", TICKET_SUFFIX  # for machines

    suffix: str
    words: str

    def __new__(cls, value: str, suffix: str = "", words: str = "") -> "ProductKind":
        """A row of the table; only the first is the value."""
        kind = str.__new__(cls, value)
        kind._value_, kind.suffix, kind.words = value, suffix, words
        return kind


class Progress(StrEnum):
    """How far an order is that has left the inbox."""

    NEXT = "next"  # taken, next in line
    SHARING = "sharing"  # its art is good; it waits for others to share its sheets with
    MAKING = "making"  # a worker has it
    DELIVERING = "delivering"  # finished, on its way to the outbox


@dataclass(frozen=True, kw_only=True)
class Listed(Generic[_Entry]):
    """Entries, and how many more there are than are listed."""

    entries: tuple[_Entry, ...] = ()
    more: int = 0

    @property
    def count(self) -> int:
        """How many there are, listed or not."""
        return len(self.entries) + self.more

    def first(self, most: int) -> "Listed[_Entry]":
        """The same, with at most so many entries."""
        return list_first(self.entries, most, more=self.more)


def list_first(entries: Sequence[_Entry], most: int, more: int = 0) -> Listed[_Entry]:
    """The first `most` entries, and how many more there are."""
    return Listed(entries=tuple(entries[:most]), more=more + max(0, len(entries) - most))


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A picture that a page can carry in itself.

    Attributes:
        kind: `image/png` or `image/jpeg`.
        letters: its bytes in base64.
        mark: a fingerprint of them, so that records that differ by it alone are told apart.
    """

    kind: str
    letters: str = field(repr=False)
    mark: str


@dataclass(frozen=True, kw_only=True)
class WaitingOrder:
    """What lies in the inbox under one name.

    Attributes:
        order: its name.
        place: the folder it lies in, from the print folder: `inbox` or `inbox/CARD`.
        missing: the side that has not come, `art` for a lone job ticket, or None.
        arriving: something of it is still being written.
        why: why it has not been taken, in a plain sentence.
        since: when the last of it came.
        held_after: when it will be held if nothing more comes; None when it waits for nothing.
        files: its files.
        made_after: when it will be made with earlier art if nothing newer comes; None when it does not wait for that.
        due: the day on which it is needed.
        cards: how many finished cards, and where that number comes from, for people; empty where it is not known.
        art: a file of it that a browser shows, in steps from the outbox; none for none.
    """

    order: str
    place: str
    missing: str | None
    arriving: bool
    why: str
    since: datetime | None
    held_after: datetime | None
    files: tuple[str, ...]
    made_after: datetime | None = None
    due: date | None = None
    cards: str = ""
    art: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class InboxSummary:
    """What waits in the inbox; see `Overview`. `trouble` says why it could not be read, or None."""

    waiting: Listed[WaitingOrder] = Listed()
    left_alone: Listed[str] = Listed()
    trouble: str | None = None

    @classmethod
    def of_an_unreadable(cls, error: OSError) -> "InboxSummary":
        """The summary of an inbox that cannot be read."""
        return cls(trouble=f"The inbox cannot be looked at: {one_line(error.strerror or str(error))}.")


@dataclass(frozen=True, kw_only=True)
class OrderInHand:
    """An order that has left the inbox and is not finished.

    Attributes:
        order: its name.
        card: the name of its card.
        progress: how far it is.
        since: when it came so far.
        until: when one that waits for others is made at the latest.
        due, cards, art: as in `WaitingOrder`.
    """

    order: str
    card: str
    progress: Progress
    since: datetime | None
    until: datetime | None = None
    due: date | None = None
    cards: str = ""
    art: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class HeldOrder:
    """A folder in `held`.

    Attributes:
        folder: its name.
        place: the folder with the one it lies in: `held/ORDER`.
        reasons: why, in full, the gravest first.
        ways_out: what the person can do about it with nothing but the file app.
        since: when it was held.
        may_be_accepted: whether renaming it to "ORDER ok" prints it as it is.
        is_accepted: whether that has been done; it is taken up at the next look.
        files: the files of the order.
        needs: what it waits for.
        pictures: what lies beside that to be looked at.
        is_ours: whether this program put it there; anything else is left alone.
        held_as: the name that it was given, where it has another one now that is no answer; else empty.
        due, cards: as in `WaitingOrder`.
        front: its front, small.
        spots: its art with the spots in question marked.
        art: as in `WaitingOrder`, where no worker has made a picture of it.
        address: the folder, in steps from the outbox.
    """

    folder: str
    place: str
    reasons: tuple[Finding, ...]
    ways_out: tuple[str, ...]
    since: datetime | None
    may_be_accepted: bool
    is_accepted: bool
    files: tuple[str, ...]
    needs: HeldFor = HeldFor.ART
    pictures: tuple[str, ...] = ()
    is_ours: bool = True
    held_as: str = ""
    due: date | None = None
    cards: str = ""
    front: Picture | None = None
    spots: Picture | None = None
    art: tuple[str, ...] = ()
    address: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class ProductFile:
    """One file of a finished order."""

    name: str
    kind: ProductKind


@dataclass(frozen=True, kw_only=True)
class FinishedOrder:
    """Sheets that lie in the outbox and have not been collected.

    Attributes:
        folder: its name in the outbox.
        words: the count for people: `50 cards = 25 sheets, plus 1 spare`.
        sheets: how many to print.
        sheet: name of the sheet in the settings, empty when it is not known.
        size: of that sheet, for people; empty when it is not known.
        paper: what the paper is, for people; empty when the settings say nothing.
        card: name of the card.
        due, note: as ordered.
        up: cards on a sheet, 0 when it is not known.
        waste_percent: of the sheet's area; None when it is not known.
        repeat_of: the folder of the first making, when this is another one; else empty.
        second_side: how the stack goes back in for its backs, and which sheet first; empty where nobody puts it back.
        orders: the names of all orders that share the sheets; none when it is one order's folder.
        printing: how its printing stands; None where nothing was asked of a printer.
        made: when.
        warnings: what to look at before printing.
        newer: folders with other art that came under the same name later.
        files: for printing first.
        quantity_from_card: as in `Wishes`.
        order: its name, where somebody has put a word behind that of its folder; else empty.
        front: its front, small.
        is_sent_by_name: whether its printer has an address, so that renaming its folder sends it there.
    """

    folder: str
    words: str
    sheets: int
    sheet: str
    size: str
    paper: str
    card: str
    due: date | None
    note: str
    made: datetime | None
    warnings: tuple[str, ...]
    newer: tuple[str, ...]
    files: tuple[ProductFile, ...]
    up: int = 0
    waste_percent: float | None = None
    repeat_of: str = ""
    second_side: str = ""
    orders: tuple[str, ...] = ()
    quantity_from_card: bool = False
    order: str = ""
    front: Picture | None = None
    printing: PrintStatus | None = None
    is_sent_by_name: bool = False

    @property
    def name(self) -> str:
        """The order's name, without a word that somebody has put behind that of its folder."""
        return self.order or self.folder

    @property
    def sheets_left(self) -> int:
        """The sheets of paper that it still takes."""
        return self.sheets if self.printing is None else min(self.sheets, self.printing.left)


@dataclass(frozen=True, kw_only=True)
class PaperToPull:
    """One stock, and how many sheets of it the uncollected orders take.

    Attributes:
        sheet, size, paper: as in `FinishedOrder`.
        sheets: over all orders.
        orders: how many orders.
    """

    sheet: str
    size: str
    paper: str
    sheets: int
    orders: int


@dataclass(frozen=True, kw_only=True)
class Overview:
    """The state of a print folder at one moment.

    Attributes:
        name: the name of the print folder.
        health: the service.
        notes: what the person should know beside all that: an inbox that cannot be read, an old correction.
        waiting: what lies in the inbox, the longest waiting first.
        making: what has left it and is not finished, in the order in which it will be.
        held: held orders, newest first.
        finished: what lies in the outbox and has not been collected, newest first.
        printed: what lies in the outbox's folder for what is printed, newest first.
        paper: what those take, by stock, the most sheets first.
        left_alone: what lies in the inbox and is none of ours, with the reason.
    """

    name: str
    health: Health
    notes: tuple[str, ...]
    waiting: Listed[WaitingOrder]
    making: Listed[OrderInHand]
    held: Listed[HeldOrder]
    finished: Listed[FinishedOrder]
    printed: Listed[FinishedOrder] = Listed()
    paper: tuple[PaperToPull, ...]
    left_alone: Listed[str]

    @property
    def needs_somebody(self) -> bool:
        """Whether something waits or is held."""
        return bool(self.waiting.count or self.held.count)
