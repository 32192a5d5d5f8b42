"""What sending needs of a printer: the contract of a connection, and the records that go over it.

Source of the states and names: RFC 8011 5.3.7 (job-state), 5.4.11 (printer-state); PWG 5100.7 (media-col).
"""

from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path
from typing import Protocol

from watcher.outbox.printing.media import Media
from watcher.outbox.printing.printer_says import PrinterSays


class JobState(IntEnum):
    """The state of a job."""

    PENDING = 3
    HELD = 4
    PROCESSING = 5
    STOPPED = 6
    CANCELLED = 7
    ABORTED = 8
    COMPLETED = 9

    @property
    def is_over(self) -> bool:
        """Whether nothing more can come of the job."""
        return self >= JobState.CANCELLED


class PrinterState(IntEnum):
    """The state of a printer."""

    IDLE = 3
    PROCESSING = 4
    STOPPED = 5


@dataclass(frozen=True, kw_only=True)
class JobRequest:
    """What a job asks for; None is not sent.

    Attributes:
        job_name: how the job is found again.
        document_format: MIME type of the document, such as `application/pdf`.
        copies: how often the document is printed.
        sides: the `sides` keyword of RFC 8011 5.2.8.
        media: the sheet, with its margins where it shall have them.
        quality: `print-quality`: 3 draft, 4 normal, 5 high.
        scaling: `print-scaling` of PWG 5100.13.
        collated: whether copies come as whole documents one after the other.
        held: whether the job waits to be released.
    """

    job_name: str
    document_format: str = "application/pdf"
    copies: int = 1
    sides: str | None = None
    media: Media | None = None
    quality: int | None = None
    scaling: str | None = "none"
    collated: bool | None = None
    held: bool = False


@dataclass(frozen=True, kw_only=True)
class QueuedJob:
    """One job of a printer, as it tells it.

    Attributes:
        job_id: its number on that printer.
        name: as it was sent, or empty where the printer does not tell.
        state: where it is.
        reasons: `job-state-reasons`.
        sheets_done: sheets that came out so far, or None: not told.
        sides_done: sides printed so far (`job-impressions-completed`), or None: not told.
    """

    job_id: int
    name: str
    state: JobState
    reasons: tuple[str, ...] = ()
    sheets_done: int | None = None
    sides_done: int | None = None


@dataclass(frozen=True, kw_only=True)
class NewJob:
    """A job that a printer has taken.

    Attributes:
        job_id: its number on that printer.
        ignored: names of what was asked for and will not be done.
    """

    job_id: int
    ignored: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class PrinterStatus:
    """How a printer is at the moment.

    Attributes:
        state: what it does.
        reasons: `printer-state-reasons` without `none`.
        message: its own words, one line, or empty.
        accepts_jobs: whether it takes new ones.
        ready: what lies in it; None: it does not tell.
    """

    state: PrinterState
    reasons: tuple[str, ...]
    message: str
    accepts_jobs: bool
    ready: tuple[Media, ...] | None


class Printer(Protocol):
    """A connection to a printer or to a queue.

    Every method may raise `PrinterGone`, `PrinterBusy` or `PrinterRefused`; `may_have_heard` of the error says whether
    the printer may have done what was asked.
    """

    def says(self) -> PrinterSays:
        """What it is and can (Get-Printer-Attributes, media-col-database included)."""
        ...

    def status(self) -> PrinterStatus:
        """How it is at the moment; a short question."""
        ...

    def validate(self, request: JobRequest) -> tuple[str, ...]:
        """Ask whether it would take a job (Validate-Job); gives the names of what it would ignore."""
        ...

    def create_job(self, request: JobRequest) -> NewJob:
        """Make a job without a document (Create-Job)."""
        ...

    def send_document(self, job_id: int, file: Path, document_format: str = "application/pdf") -> None:
        """Give a job its only document, read from the file as it goes (Send-Document)."""
        ...

    def release_job(self, job_id: int) -> None:
        """Let a held job go (Release-Job)."""
        ...

    def cancel_job(self, job_id: int) -> None:
        """Take a job back (Cancel-Job)."""
        ...

    def job(self, job_id: int) -> QueuedJob | None:
        """One job (Get-Job-Attributes); None when the printer knows none of that number."""
        ...

    def jobs(self, *, finished: bool = False) -> tuple[QueuedJob, ...]:
        """The jobs that are under way, or those that are over (Get-Jobs)."""
        ...
