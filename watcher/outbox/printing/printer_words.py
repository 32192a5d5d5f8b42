"""What a printer says of its state, in the words of a shop owner.

Source of the keywords: RFC 8011 5.4.12 (printer-state-reasons) and the IANA registry of IPP; a reason that ends in
`-report` or `-warning` does not keep a job from being printed.
"""

from collections.abc import Iterable

from watcher.outbox.printing.contract import JobState, PrinterState, PrinterStatus, QueuedJob
from watcher.records.plain_text import one_line

_WORDS = {
    "media-empty": "out of paper",
    "media-needed": "it wants paper",
    "media-jam": "paper jam",
    "media-low": "little paper left",
    "input-tray-missing": "a tray is missing",
    "input-media-supply-empty": "out of paper",
    "output-area-full": "the output tray is full",
    "output-tray-missing": "the output tray is missing",
    "marker-supply-empty": "out of ink or toner",
    "marker-waste-full": "its waste box is full",
    "toner-empty": "out of toner",
    "toner-low": "little toner left",
    "marker-supply-low": "little ink or toner left",
    "cover-open": "a cover is open",
    "door-open": "a door is open",
    "interlock-open": "a door is open",
    "interpreter-resource-unavailable": "it is short of memory",
    "developer-empty": "out of developer",
    "fuser-over-temp": "it is too hot",
    "fuser-under-temp": "it is warming up",
    "opc-life-over": "its drum is worn out",
    "paused": "it was paused at the printer",
    "moving-to-paused": "it was paused at the printer",
    "shutdown": "it is switched off",
    "offline": "it is off line",
    "stopped-partly": "one of its parts has stopped",
    "spool-area-full": "its memory is full",
    "timed-out": "it does not answer the queue",
    "connecting-to-device": "the queue is looking for it",
    "other": "it wants somebody: look at its display",
}
_IN_QUEUE, _BEING_PRINTED, _PRINTED = "in the printer's queue", "being printed", " printed"
_HARMLESS = ("-report", "-warning")


def plain_reasons(reasons: Iterable[str]) -> tuple[str, ...]:
    """Give what keeps a printer from printing, in plain words, each once."""
    told = (reason for reason in reasons if reason != "none" and not reason.endswith(_HARMLESS))
    return tuple(dict.fromkeys(_plain(reason) for reason in told))


def _plain(reason: str) -> str:
    bare = reason.removesuffix("-error")
    return _WORDS.get(bare, one_line(bare).replace("-", " "))


def what_it_waits_for(status: PrinterStatus) -> str:
    """Say what must be seen to before the printer prints; empty where nothing must."""
    said = "; ".join(plain_reasons(status.reasons))
    if status.state is PrinterState.STOPPED:
        return said or _plain_message(status)
    return "" if status.accepts_jobs else said or "it takes no jobs now"


def _plain_message(status: PrinterStatus) -> str:
    return f'it has stopped ("{status.message}")' if status.message else "it has stopped: look at its display"


def how_it_goes(job: QueuedJob, status: PrinterStatus, sheets: int) -> str:
    """Say how a job that the printer has is getting on, for people."""
    if job.state is JobState.HELD:
        return "held at the printer: let it go there"
    waits = "; ".join(plain_reasons((*status.reasons, *_about_paper(job.reasons))))
    if waits and (status.state is PrinterState.STOPPED or job.state is JobState.STOPPED):
        return waits
    if job.sheets_done:
        return f"{min(job.sheets_done, sheets)} of {sheets}{_PRINTED}"
    if job.state is JobState.PENDING:
        return _IN_QUEUE
    if job.state is JobState.STOPPED:
        return waits or _plain_message(status)
    return _BEING_PRINTED


def _about_paper(reasons: Iterable[str]) -> Iterable[str]:
    return (reason for reason in reasons if reason.startswith(("media-", "cover-", "door-", "toner-", "marker-")))


def is_progress(says: str) -> bool:
    """Whether `how_it_goes` told that a job is getting on, and not what it waits for."""
    return says in (_IN_QUEUE, _BEING_PRINTED) or says.endswith(_PRINTED)
