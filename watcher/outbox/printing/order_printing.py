"""What is known of the printing of one order: its wish, and the jobs in which its sheets went to printers."""

from dataclasses import dataclass
from enum import StrEnum

from watcher.archive.folder_words import Word
from watcher.outbox.printing.sending_life import UNDER_WAY, JobStage
from watcher.records.plain_text import as_utf8

BY_HAND = ""  # the printer of sheets that a person has printed


class Part(StrEnum):
    """What of its sheets a job prints."""

    ALL = "sheets"  # one-sided, or both sides
    FRONTS = "fronts"
    BACKS = "backs"


@dataclass(frozen=True, kw_only=True)
class SheetJob:
    """One job for a printer; the columns of the table `jobs`."""

    number: int = 0
    order_key: str
    printer: str
    queue: str = ""
    stack: int
    side: Part
    first: int
    sheets: int
    sha256: str = ""
    stage: JobStage = JobStage.WAITING
    times: int = 1
    token: str = ""
    job_id: int = 0
    held: bool = False
    says: str = ""
    asked: str = ""
    since: str = ""


@dataclass(frozen=True, kw_only=True)
class OrderNote:
    """What is known of an order's printing; the columns of the table `orders`."""

    key: str
    name: str
    sheets: int
    record: str = ""
    answered: str = ""
    answered_at: str = ""
    wish: str = ""
    says: str = ""
    look_at: str = ""
    finished_at: str = ""


@dataclass(frozen=True, kw_only=True)
class OrderPrinting:
    """An order with its jobs, oldest first."""

    note: OrderNote
    jobs: tuple[SheetJob, ...] = ()

    def printed(self, stack: int) -> int:
        """How many sheets of a stack are printed with all of their sides."""
        done = (job for job in self.jobs if job.stack == stack and job.side is not Part.FRONTS)
        return sum(job.sheets for job in done if job.stage is JobStage.PRINTED)

    @property
    def sheets_printed(self) -> int:
        """How many sheets are printed with all of their sides."""
        done = (job for job in self.jobs if job.side is not Part.FRONTS)
        return sum(job.sheets for job in done if job.stage is JobStage.PRINTED)

    @property
    def awaiting_backs(self) -> SheetJob | None:
        """The job of the fronts whose backs are still to be printed."""
        last = next((job for job in reversed(self.jobs) if job.stage is JobStage.PRINTED), None)
        return last if last is not None and last.side is Part.FRONTS else None

    @property
    def under_way(self) -> tuple[SheetJob, ...]:
        """Jobs that have not come to their end."""
        return tuple(job for job in self.jobs if job.stage in UNDER_WAY)

    @property
    def unclear(self) -> tuple[SheetJob, ...]:
        """Jobs of which nobody knows whether they are on paper."""
        return tuple(job for job in self.jobs if job.stage is JobStage.PERHAPS)


def order_key(name: str, made_at: str) -> str:
    """The key of an order or a run in the notes."""
    return as_utf8(f"{name}\n{made_at}")


def wish_text(word: Word, sheets: int | None) -> str:
    """A rename as the notes have it: `print 3`."""
    return f"{word} {sheets}" if sheets is not None else str(word)
