"""What is asked of a printer for one job, and what the answer means in the table of a job's life.

Each function takes as long as the network does, and is called in the printer's own thread.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from watcher.errors import PrinterError, PrinterRefused
from watcher.outbox.printing.contract import JobRequest, JobState, Printer, QueuedJob
from watcher.outbox.printing.ipp_codes import Status
from watcher.outbox.printing.job_request import Wanted, refuse_ignored, request_for
from watcher.outbox.printing.printer_words import how_it_goes, what_it_waits_for
from watcher.outbox.printing.sending_life import Event
from watcher.outbox.printing.stacks import NotSent


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What a printer's answer means.

    Attributes:
        event: for the table.
        says: for people; empty where there is nothing to say.
        request: what is to be asked for, once it fits.
        job_id: the job's number at the printer, once it has one.
        found: the job as the printer tells it.
        held: whether the printer calls the new job held.
    """

    event: Event
    says: str = ""
    request: JobRequest | None = None
    job_id: int = 0
    found: QueuedJob | None = None
    held: bool = False


Call = Callable[[Printer], Outcome]


def ask(printer: Printer, wanted: Wanted, job_name: str, earlier: Sequence[str]) -> Outcome:
    """Ask what the printer is, has and takes.

    Args:
        printer: the connection.
        wanted: what is to be printed.
        job_name: what the job will be called.
        earlier: the tokens of tries that were given up before anything could be printed; what the printer still has of
            them is cancelled.
    """
    try:
        status = printer.status()
        waits = what_it_waits_for(status)
        if waits:
            return Outcome(event=Event.NOT_NOW, says=waits)
        says = printer.says()
        request = request_for(wanted, says, status, job_name)
        request = _accepted(printer, request, wanted.printer, tells_scaling=bool(says.scalings))
        if earlier:
            _cancel_left_over(printer, earlier)
    except (NotSent, PrinterRefused) as refused:
        return Outcome(event=Event.DIFFERS, says=str(refused))
    except PrinterError as error:
        return Outcome(event=Event.NOT_NOW, says=str(error))
    return Outcome(event=Event.FITS, request=request)


def _accepted(printer: Printer, request: JobRequest, name: str, *, tells_scaling: bool) -> JobRequest:
    """The request as the printer takes it; without what the sheets can do without.

    A printer that knows nothing of scaling is not asked for any: it prints a page as large as the page is.
    """
    try:
        ignored = printer.validate(request)
    except PrinterRefused as refused:
        if refused.status == Status.NO_OPERATION:
            return request
        raise
    if "print-scaling" in ignored and not tells_scaling:
        request = replace(request, scaling=None)
    refuse_ignored(name, request, ignored)
    if "job-hold-until" in ignored:
        request = replace(request, held=False)
    if "print-quality" in ignored:
        request = replace(request, quality=None)
    if "multiple-document-handling" in ignored:
        request = replace(request, collated=None)
    return request


def _cancel_left_over(printer: Printer, tokens: Sequence[str]) -> None:
    for job in printer.jobs():
        if any(job.name.endswith(token) for token in tokens):
            with suppress(PrinterRefused):  # it has just ended
                printer.cancel_job(job.job_id)


def create(printer: Printer, request: JobRequest, name: str) -> Outcome:
    """Ask for a job without a document."""
    try:
        new = printer.create_job(request)
        try:
            refuse_ignored(name, request, new.ignored)
        except NotSent as refused:
            with suppress(PrinterError):  # it has no document, and a printer lets go of such a job by itself
                printer.cancel_job(new.job_id)
            return Outcome(event=Event.DIFFERS, says=str(refused))
        held = request.held and "job-hold-until" not in new.ignored
        found = printer.job(new.job_id) if held else None
    except PrinterRefused as refused:
        return Outcome(event=Event.DIFFERS, says=str(refused))
    except PrinterError as error:
        return Outcome(event=Event.NOT_CREATED, says=str(error))
    is_held = found is not None and found.state is JobState.HELD
    return Outcome(event=Event.CREATED, job_id=new.job_id, held=is_held)


def send(printer: Printer, job_id: int, file: Path, *, held: bool) -> Outcome:
    """Send the document."""
    try:
        printer.send_document(job_id, file)
        found = printer.job(job_id) if held else None
    except PrinterError as error:
        return Outcome(event=Event.LOST_TRACK, says=str(error))
    except OSError as error:
        return Outcome(event=Event.LOST_TRACK, says=f"the sheets could not be read: {error.strerror}")
    return Outcome(event=Event.DOCUMENT_TAKEN, found=found)


def release(printer: Printer, job_id: int) -> Outcome:
    """Let the job go."""
    try:
        printer.release_job(job_id)
    except PrinterError as error:
        return Outcome(event=Event.LOST_TRACK, says=str(error))
    return Outcome(event=Event.RELEASED)


def find(printer: Printer, job_id: int, token: str, sheets: int) -> Outcome:
    """Ask how the job is. A printer that was restarted may have given its number to another one."""
    try:
        found = printer.job(job_id)
        if found is None or (found.name and token not in found.name):
            return Outcome(event=Event.NOT_FOUND)
        says = "" if found.state.is_over else how_it_goes(found, printer.status(), sheets)
    except PrinterError as error:
        return Outcome(event=Event.NOT_NOW, says=str(error))
    return Outcome(event=Event.FOUND, found=found, says=says)


def take_back(printer: Printer, job_id: int, token: str, sheets: int) -> Outcome:
    """Cancel the held job, and make sure that it is."""
    try:
        printer.cancel_job(job_id)
    except PrinterError as error:
        return Outcome(event=Event.NOT_NOW, says=str(error))
    outcome = find(printer, job_id, token, sheets)
    is_gone = outcome.event is Event.NOT_FOUND
    if is_gone or (outcome.found is not None and gave_up_blank(outcome.found)):
        return Outcome(event=Event.TAKEN_BACK)
    return outcome


def gave_up(found: QueuedJob) -> bool:
    """Whether the printer ended a job early, or with errors."""
    is_done = found.state is JobState.COMPLETED and "job-completed-with-errors" not in found.reasons
    return found.state.is_over and not is_done


def gave_up_blank(found: QueuedJob) -> bool:
    """Whether it did, and says that no sheet came out."""
    told = [count for count in (found.sheets_done, found.sides_done) if count is not None]
    return gave_up(found) and found.state is not JobState.COMPLETED and bool(told) and not any(told)
