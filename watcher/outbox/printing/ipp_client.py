"""Talk to a printer or a queue: the operations of RFC 8011 that sending a sheet needs, and what they answer.

Every answer of a printer becomes a record of ours or one of the errors `PrinterGone`, `PrinterBusy`, `PrinterRefused`.
"""

import itertools
from collections.abc import Iterable, Mapping
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from watcher.errors import PrinterBusy, PrinterError, PrinterGone, PrinterRefused, WrongUsage
from watcher.outbox.printing.address import Address
from watcher.outbox.printing.contract import JobRequest, JobState, NewJob, PrinterState, PrinterStatus, QueuedJob
from watcher.outbox.printing.ipp_codes import FIRST_ERROR, FOR_GOOD, FOR_NOW, Operation, Status
from watcher.outbox.printing.ipp_message import BadMessage, Group, Message, decode, encode
from watcher.outbox.printing.ipp_transport import Transport
from watcher.outbox.printing.ipp_values import Attributes, Tag, Value, numbers, words
from watcher.outbox.printing.login import read_login
from watcher.outbox.printing.media import read_media, write_media
from watcher.outbox.printing.printer_says import PrinterSays, read_printer
from watcher.records.plain_text import one_line
from watcher.settings.fields import CertificateFingerprint, PrinterAddress
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.trusted import check_printer

USER = "print-folder"  # the owner of our jobs where no login names one; only their owner may release and cancel them
MOST_JOBS = 500

Given = Mapping[str, tuple[Value, ...]]


_ABOUT_JOB = (
    "job-id",
    "job-name",
    "job-state",
    "job-state-reasons",
    "job-impressions-completed",
    "job-media-sheets-completed",
)
_ABOUT_STATUS = (
    "printer-state",
    "printer-state-reasons",
    "printer-state-message",
    "printer-is-accepting-jobs",
    "media-col-ready",
)


def connect(printer: PrinterSettings, settings: Settings) -> "PrinterConnection":
    """Give the way to a printer of the settings that has a queue; nothing is sent yet.

    Raises:
        PrinterRefused: nobody at this computer has said yes to its address, or its login_file cannot be used.
    """
    assert printer.queue is not None
    check_printer(printer, settings)
    login = read_login(printer.login_file, settings.folder) if printer.login_file else None
    address = Address.parse(printer.queue)
    transport = Transport(printer.name, address, fingerprint=printer.fingerprint, login=login)
    return PrinterConnection(transport)


def connect_unnamed(queue: str, fingerprint: str | None = None) -> "PrinterConnection":
    """Give the way to a printer that is in no settings yet; nothing is sent yet.

    Raises:
        WrongUsage: the address or the digits of its certificate are none.
    """
    try:
        uri = TypeAdapter[str](PrinterAddress).validate_python(queue)
        trusted = TypeAdapter[str](CertificateFingerprint).validate_python(fingerprint) if fingerprint else None
    except ValidationError as error:
        wanted = str(error.errors()[0]["msg"]).removeprefix("Value error, ")
        raise WrongUsage(f"{one_line(queue)} cannot be asked; {wanted}.") from error
    if trusted and not Address.parse(uri).is_encrypted:
        raise WrongUsage(f"{uri} shows no certificate. Write ipps:// instead of ipp://, or leave --fingerprint out.")
    return PrinterConnection(Transport("", Address.parse(uri), fingerprint=trusted))


class PrinterConnection:
    """A printer or a queue that is asked over IPP; it fulfils `contract.Printer`."""

    def __init__(self, transport: Transport) -> None:
        self.transport = transport
        self._request_ids = itertools.count(1)

    def says(self) -> PrinterSays:
        """What it is and can; media-col-database must be asked for by name (PWG 5100.7)."""
        wanted = {"requested-attributes": words(Tag.KEYWORD, "all", "media-col-database")}
        return read_printer(self._ask(Operation.GET_PRINTER_ATTRIBUTES, wanted).group(Tag.PRINTER_GROUP))

    def status(self) -> PrinterStatus:
        """How it is at the moment."""
        wanted = {"requested-attributes": words(Tag.KEYWORD, *_ABOUT_STATUS)}
        attributes = self._ask(Operation.GET_PRINTER_ATTRIBUTES, wanted).group(Tag.PRINTER_GROUP)
        number = attributes.number("printer-state")
        ready = attributes.collections("media-col-ready")
        return PrinterStatus(
            state=PrinterState(number) if number in set(PrinterState) else PrinterState.STOPPED,
            reasons=tuple(word for word in attributes.words("printer-state-reasons") if word != "none"),
            message=one_line(attributes.word("printer-state-message") or ""),
            accepts_jobs=attributes.flag("printer-is-accepting-jobs") is not False,
            ready=tuple(read_media(one) for one in ready) if "media-col-ready" in attributes else None,
        )

    def validate(self, request: JobRequest) -> tuple[str, ...]:
        """Ask whether it would take a job; gives the names of what it would ignore."""
        return _ignored(self._ask(Operation.VALIDATE_JOB, _about_job(request), _wanted(request)))

    def create_job(self, request: JobRequest) -> NewJob:
        """Make a job without a document."""
        about = {name: values for name, values in _about_job(request).items() if name != "document-format"}
        answer = self._ask(Operation.CREATE_JOB, about, _wanted(request))
        job_id = answer.group(Tag.JOB_GROUP).number("job-id")
        if job_id is None:
            raise self._unclear("took a job and gave it no number")
        return NewJob(job_id=job_id, ignored=_ignored(answer))

    def send_document(self, job_id: int, file: Path, document_format: str = "application/pdf") -> None:
        """Give a job its only document, read from the file as it goes."""
        given = {
            "job-id": numbers(job_id),
            "document-format": words(Tag.MIME_TYPE, document_format),
            "last-document": (Value(Tag.BOOLEAN, True),),
        }
        self._ask(Operation.SEND_DOCUMENT, given, document=file)

    def release_job(self, job_id: int) -> None:
        """Let a held job go."""
        self._ask(Operation.RELEASE_JOB, {"job-id": numbers(job_id)})

    def cancel_job(self, job_id: int) -> None:
        """Take a job back."""
        self._ask(Operation.CANCEL_JOB, {"job-id": numbers(job_id)})

    def job(self, job_id: int) -> QueuedJob | None:
        """One job; None when the printer knows none of that number."""
        given = {"job-id": numbers(job_id), "requested-attributes": words(Tag.KEYWORD, *_ABOUT_JOB)}
        try:
            answer = self._ask(Operation.GET_JOB_ATTRIBUTES, given)
        except PrinterRefused as refused:
            if refused.status in (Status.NOT_FOUND, Status.GONE):
                return None
            raise
        found = _read_job(answer.group(Tag.JOB_GROUP), job_id)
        if found is None:
            raise self._unclear("does not say where the job is")
        return found

    def jobs(self, *, finished: bool = False) -> tuple[QueuedJob, ...]:
        """The jobs that are under way, or those that are over; at most `MOST_JOBS`."""
        given = {
            "limit": numbers(MOST_JOBS),
            "requested-attributes": words(Tag.KEYWORD, *_ABOUT_JOB),
            "which-jobs": words(Tag.KEYWORD, "completed" if finished else "not-completed"),
        }
        jobs = self._ask(Operation.GET_JOBS, given).all_groups(Tag.JOB_GROUP)
        return tuple(job for one in jobs if (job := _read_job(one, one.number("job-id"))))

    # -- asking --------------------------------------------------------------------------------------------------------

    def _ask(
        self, operation: Operation, given: Given, wanted: Given | None = None, document: Path | None = None
    ) -> Message:
        request_id = next(self._request_ids)
        groups = [Group(Tag.OPERATION_GROUP, Attributes({**self._head(given), **_rest(given)}))]
        if wanted:
            groups.append(Group(Tag.JOB_GROUP, Attributes(wanted)))
        request = Message(code=operation, request_id=request_id, groups=groups)
        body = self.transport.ask(encode(request), document)
        try:
            answer = decode(body)
        except BadMessage as error:
            raise self._unclear(f"sent an answer that {error}") from error
        if answer.request_id != request_id:
            raise self._unclear("answered another question")
        if answer.code >= FIRST_ERROR:
            raise self._error(answer)
        return answer

    def _head(self, given: Given) -> Given:
        """The attributes that come first, in this order (RFC 8011 4.1.4, 4.1.5); a job's number follows its printer."""
        login = self.transport.login
        return {
            "attributes-charset": words(Tag.CHARSET, "utf-8"),
            "attributes-natural-language": words(Tag.LANGUAGE, "en"),
            "printer-uri": words(Tag.URI, self.transport.address.uri),
            **({"job-id": given["job-id"]} if "job-id" in given else {}),
            "requesting-user-name": words(Tag.NAME, login.name if login else USER),
        }

    def _unclear(self, what: str) -> PrinterGone:
        return PrinterGone(f"{self.transport.who} {what}.", may_have_heard=True)

    def _error(self, answer: Message) -> PrinterError:
        said = one_line(answer.group(Tag.OPERATION_GROUP).word("status-message") or "")
        if answer.code in FOR_NOW:
            return PrinterBusy(f"{self.transport.who} {FOR_NOW[Status(answer.code)]}{_quoted(said)}.")
        known = answer.code in FOR_GOOD
        what = FOR_GOOD[Status(answer.code)] if known else f"refuses the request (IPP status {answer.code:#06x})"
        names = ", ".join(one_line(name) for name in _ignored(answer))
        listed = f": {names}" if names else ""
        return PrinterRefused(f"{self.transport.who} {what}{listed}{_quoted(said)}.", status=answer.code, words=said)


def _rest(given: Given) -> Given:
    return {name: values for name, values in given.items() if name != "job-id"}


def _about_job(request: JobRequest) -> Given:
    return {
        "job-name": words(Tag.NAME, request.job_name),
        "ipp-attribute-fidelity": (Value(Tag.BOOLEAN, True),),
        "document-format": words(Tag.MIME_TYPE, request.document_format),
    }


def _wanted(request: JobRequest) -> Given:
    """The job template attributes of a request."""
    given: dict[str, tuple[Value, ...]] = {"copies": numbers(request.copies)}
    if request.held:
        given["job-hold-until"] = words(Tag.KEYWORD, "indefinite")
    if request.sides:
        given["sides"] = words(Tag.KEYWORD, request.sides)
    if request.media:
        given["media-col"] = write_media(request.media)
    if request.quality:
        given["print-quality"] = (Value(Tag.ENUM, request.quality),)
    if request.scaling:
        given["print-scaling"] = words(Tag.KEYWORD, request.scaling)
    if request.collated is not None:
        way = "collated" if request.collated else "uncollated"
        given["multiple-document-handling"] = words(Tag.KEYWORD, f"separate-documents-{way}-copies")
    return given


def _ignored(answer: Message) -> tuple[str, ...]:
    """The names of what a printer says it does not do (the unsupported group, RFC 8011 4.1.7)."""
    return tuple(answer.group(Tag.UNSUPPORTED_GROUP).values)


def _read_job(attributes: Attributes, job_id: int | None) -> QueuedJob | None:
    number = attributes.number("job-state")
    if job_id is None or number not in set(JobState):
        return None
    return QueuedJob(
        job_id=job_id,
        name=attributes.word("job-name") or "",
        state=JobState(number),
        reasons=_reasons(attributes.words("job-state-reasons")),
        sheets_done=attributes.number("job-media-sheets-completed"),
        sides_done=attributes.number("job-impressions-completed"),
    )


def _reasons(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(word for word in words if word != "none")


def _quoted(said: str) -> str:
    return f' (it says: "{said}")' if said else ""
