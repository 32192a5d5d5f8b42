"""What a worker is told about an order, and what it tells when it has made it."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from watcher.archive.effective_settings import InForce
from watcher.art.model import Finding
from watcher.errors import OrderHeld
from watcher.layout.register.alignment import Correction
from watcher.orders.model import ArtSource, Order
from watcher.settings.model import GUILLOTINE, CardSettings, CutterSettings, PrinterSettings, SheetSettings
from watcher.terms import HeldFor, Level, Sequencing, Side


@dataclass(frozen=True, kw_only=True)
class Job:
    """Everything a worker needs to make one order.

    Attributes:
        folder: where the order's files lie.
        building: where the product goes; emptied first.
        name: the order's folder name and the start of every file name.
        written: the order's name as it was written on the art.
        shown: the name printed on the sheets: that of the first making when the same art is made again.
        date: the day printed on the sheets, ISO 8601: that of the first making likewise.
        cutter: what parts the cards.
        correction: what brings the back page into register on this printer, or None.
        common: art that every order of the card shares, where it lies now.
        sequence: how several designs follow each other.
        several: the order has several designs, or one of several is made alone.
        only: the numbers of the designs that were asked for; empty for all.
        accepted: the person has accepted the soft findings and, where it is asked for, the picture of the card.
        seen: the marks of the findings that this holds for; empty for all of them.
        overruled: the person has said that the sheets are right, whatever the check by sight says.
        approve: whether the customer is to see the card before it is made.
        read_back: whether the finished sheets are compared with the art by sight, and pictured.
        repeat_of, sheets_only, as_before: as in `records.ticket.Decided`.
        said: what is to be said of the order beside what its art shows.
        Others as in `records.ticket.Decided`.
    """

    folder: Path
    building: Path
    name: str
    written: str
    shown: str
    date: str
    card: CardSettings
    sheet: SheetSettings
    printer: PrinterSettings
    quantity: int
    overs: str
    sources: tuple[ArtSource, ...]
    common: tuple[tuple[Side, Path], ...]
    accepted: bool
    made_at: str
    settings_sha256: str
    order_sha256: str
    due: str | None
    note: str | None
    sequence: Sequencing = Sequencing.ACROSS
    several: bool = False
    only: tuple[int, ...] = ()
    cutter: CutterSettings = GUILLOTINE
    correction: Correction | None = None
    seen: tuple[str, ...] = ()
    overruled: bool = False
    approve: bool = False
    read_back: bool = True
    repeat_of: str | None = None
    sheets_only: int | None = None
    as_before: bool = False
    said: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Made:
    """A finished product in its building folder.

    Attributes:
        sheets: how many.
        up: cards on each.
        words: the count for people.
        findings: what is to be said of it.
        product: the size of each of its files, bytes, by name.
    """

    sheets: int
    up: int
    words: str
    findings: tuple[Finding, ...]
    product: Mapping[str, int]


class HeldForYes(OrderHeld):
    """All is ready, but the customer is to see the card first.

    Attributes:
        findings: what else must be seen first, the gravest first, the question itself, and what else is done to the
            art by a yes.
        needs: a yes alone, or a look at the art as well.
        pictures: name of the file in the building folder that shows the card.
    """

    is_soft = True

    def __init__(
        self,
        soft: tuple[Finding, ...],
        picture: str,
        *,
        designs: int = 1,
        shown: int = 1,
        besides: tuple[Finding, ...] = (),
    ) -> None:
        said = f"The customer is to see this card before it is made; {picture} shows it as it will be cut."
        if designs > 1:
            which = "them" if shown == designs else f"{shown} of them"
            said = (
                f"The customer is to see these {designs} cards before they are made; {picture} shows {which} as they"
                " will be cut."
            )
        super().__init__(said)
        self.findings = (*soft, Finding(level=Level.HOLD, code="waits-for-yes", message=said), *besides)
        self.needs = HeldFor.ART if soft else HeldFor.YES
        self.pictures = (picture,)


class HeldForFault(OrderHeld):
    """A finished sheet is not as planned: the program is at fault, and what shows it is kept.

    Attributes:
        needs: somebody to mend the program.
        pictures: names of files in the building folder.
    """

    needs = HeldFor.FAULT

    def __init__(self, fault: str, pictures: tuple[str, ...]) -> None:
        super().__init__(
            f"An internal fault: the finished sheet is not as it should be ({fault}), so it was not delivered. The art "
            f"is most likely sound. The sheet, and pictures of it as it was made and as it should be, lie beside this: "
            f"{', '.join(pictures)}."
        )
        self.pictures = pictures


class HeldForLooks(OrderHeld):
    """A finished sheet does not look like its art to the check by sight; a person can see whether that is so.

    Attributes:
        needs: the program, or the person, is wrong about it.
        pictures: names of files in the building folder; the first shows the place in question.
    """

    is_soft = True
    needs = HeldFor.FAULT

    def __init__(self, fault: str, pictures: tuple[str, ...], odd: str | None = None) -> None:
        """Args: what is wrong where; the names; what is odd about the file, where readers differ about it."""
        head = f"The check of the finished sheet found that it does not look like its art ({fault})."
        cause = "That may be a fault of the program, or of the check alone." if odd is None else odd
        super().__init__(
            f"{head} {cause} {pictures[0]} shows the place, on the sheet and as the art has it: look at both before you"
            " decide."
        )
        self.pictures = pictures


@dataclass(frozen=True, kw_only=True)
class OrderCheck:
    """Task: an order taken as far as the drawing of its sheets, without writing anything.

    Attributes:
        job: the order; the files of its art are whole paths.
        is_whole: whether all of its sides are there; else its art alone is looked at.
    """

    job: Job
    is_whole: bool = True


@dataclass(frozen=True, kw_only=True)
class Checked:
    """What would be said of an order.

    Attributes:
        findings: all of it.
        words: what it comes to (`50 cards = 25 sheets`); None where a side is missing.
        up: how many cards lie on a sheet; 0 likewise.
    """

    findings: tuple[Finding, ...]
    words: str | None = None
    up: int = 0


def job_for(order: Order, force: InForce, folder: Path, stamp: str) -> Job:
    """What an order and its settings alone decide; it has no name among others yet, and no folder to be built in.

    Args:
        order: with its art.
        force: the settings it is made with.
        folder: where its files lie.
        stamp: now, ISO 8601.
    """
    shaping = force.shaping
    return Job(
        folder=folder,
        building=Path(),
        name=order.name,
        written=order.name,
        shown=order.name,
        date=stamp[:10],
        card=shaping.card,
        sheet=shaping.sheet,
        printer=shaping.printer,
        cutter=shaping.cutter,
        correction=force.correction,
        quantity=order.quantity,
        overs=order.overs,
        sources=order.wanted_art,
        sequence=order.sequence or shaping.card.sequence,
        several=len(order.designs) > 1 or bool(order.only),
        only=order.only,
        common=(),
        accepted=order.accepted,
        seen=order.seen,
        overruled=order.overruled,
        made_at=stamp,
        settings_sha256=force.sha256,
        order_sha256="",
        due=order.due,
        note=order.note,
        approve=shaping.card.approve if order.approve is None else order.approve,
    )
