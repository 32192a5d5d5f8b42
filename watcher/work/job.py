"""A job: everything a worker needs to make one order; and the answers that it gives."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from watcher.archive.effective_settings import EffectiveSettings
from watcher.errors import OrderHeld
from watcher.orders.model import Order
from watcher.terms import Finding, HeldFor, Level, Side

WAITS_FOR_YES = "waits-for-yes"


@dataclass(frozen=True, kw_only=True)
class Job:
    """Everything a worker needs to make one order.

    Attributes:
        order: what was asked for, with its art.
        settings: what it is made with.
        folder: where the order's files lie.
        building: where the product goes; emptied first.
        name: the order's folder name and the start of every file name.
        shown: the name printed on the sheets: that of the first making when the same art is made again.
        date: the day printed on the sheets, ISO 8601: that of the first making likewise.
        common: art that every order of the card shares, where it lies now.
        made_at: now, ISO 8601.
        order_sha256: equal for "the same art again": see `archive.same_art.order_fingerprint`.
        read_back: whether the finished sheets are compared with the art by sight, and pictured.
        repeat_of: the folder of the order's first making, when this is another one.
        sheets_only: so many sheets in place of spoiled ones; None: as many as the cards take.
        said: what is to be said of the order beside what its art shows.
    """

    order: Order
    settings: EffectiveSettings
    folder: Path
    building: Path
    name: str
    shown: str
    date: str
    common: tuple[tuple[Side, Path], ...] = ()
    made_at: str
    order_sha256: str = ""
    read_back: bool = True
    repeat_of: str | None = None
    sheets_only: int | None = None
    said: tuple[Finding, ...] = ()

    @property
    def asks_first(self) -> bool:
        """Whether the customer is to see the card before it is made, and has not said yes yet."""
        return self.order.wishes.approve_for(self.settings.card) and not self.order.accepted


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
    """The order is ready, but the customer is to see the card first.

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
        self.findings = (*soft, Finding(level=Level.HOLD, code=WAITS_FOR_YES, message=said), *besides)
        self.needs = HeldFor.ART if soft else HeldFor.YES
        self.pictures = (picture,)


class HeldForFault(OrderHeld):
    """A finished sheet is not as planned: a fault of the program, whose evidence is kept.

    Attributes:
        needs: somebody to mend the program.
        pictures: names of files in the building folder.
    """

    code = "sheet-at-fault"
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

    code = "sheet-looks-wrong"
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
    """Task: check an order as far as the drawing of its sheets, without writing anything.

    Attributes:
        job: the order; the files of its art are whole paths.
        is_whole: whether all of its sides are there; else its art alone is looked at.
    """

    job: Job
    is_whole: bool = True


@dataclass(frozen=True, kw_only=True)
class Checked:
    """Answer to `OrderCheck`: what would be said of the order.

    Attributes:
        findings: all of it.
        words: what it comes to (`50 cards = 25 sheets`); None where a side is missing.
        up: how many cards lie on a sheet; 0 likewise.
    """

    findings: tuple[Finding, ...]
    words: str | None = None
    up: int = 0


def job_for(order: Order, settings: EffectiveSettings, folder: Path, stamp: str) -> Job:
    """Make the job of an order, without a free folder name and a building folder yet.

    Args:
        order: with its art.
        settings: it is made with these.
        folder: where its files lie.
        stamp: now, ISO 8601.
    """
    return Job(
        order=order,
        settings=settings,
        folder=folder,
        building=Path(),
        name=order.name,
        shown=order.name,
        date=stamp[:10],
        made_at=stamp,
    )
