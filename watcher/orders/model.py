"""The records of the orders stage."""

from dataclasses import dataclass
from datetime import date

from watcher.settings.values import Overs
from watcher.terms import Side


@dataclass(frozen=True, kw_only=True)
class ArtSource:
    """Where one side's art is: a file, a member of a ZIP or a page of a PDF.

    Attributes:
        side: the face it is for.
        file: name of the file in the order's folder.
        member: name inside the ZIP, or None.
        page: page of a PDF (of the file, or of the member), from 0; None: its only page.
    """

    side: Side
    file: str
    member: str | None = None
    page: int | None = None

    @property
    def shown(self) -> str:
        """The name for people: `spring.zip: 1.png`, `menu.pdf, page 2`."""
        name = f"{self.file}: {self.member}" if self.member else self.file
        return name if self.page is None else f"{name}, page {self.page + 1}"


@dataclass(frozen=True, kw_only=True)
class Ticket:
    """A job ticket as it was dropped: what it says, None where it is silent."""

    quantity: int | None = None
    card: str | None = None
    sheet: str | None = None
    overs: Overs | None = None
    due: date | None = None
    note: str | None = None
    repeat: str | None = None
