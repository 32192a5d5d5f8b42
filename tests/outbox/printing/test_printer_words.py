"""What a printer says is told in plain words. Source of the keywords: RFC 8011 5.4.12."""

import pytest

from watcher.outbox.printing.contract import JobState, PrinterState, PrinterStatus, QueuedJob
from watcher.outbox.printing.printer_words import how_it_goes, is_progress, plain_reasons, what_it_waits_for


def status(state: PrinterState = PrinterState.IDLE, *reasons: str, accepts: bool = True, message: str = ""):
    return PrinterStatus(state=state, reasons=reasons, message=message, accepts_jobs=accepts, ready=None)


@pytest.mark.parametrize(
    ("reasons", "said"),
    [
        (("media-empty-error",), ("out of paper",)),
        (("media-jam",), ("paper jam",)),
        (("media-empty", "media-empty-error"), ("out of paper",)),
        (("toner-low-warning", "media-low-report", "none"), ()),
        (("fuser-lamp-odd-error",), ("fuser lamp odd",)),
    ],
)
def test_reasons_in_plain_words(reasons, said) -> None:
    assert plain_reasons(reasons) == said


def test_a_stopped_printer_says_why() -> None:
    assert what_it_waits_for(status(PrinterState.STOPPED, "door-open-error")) == "a door is open"
    assert what_it_waits_for(status(PrinterState.STOPPED, message="E7")) == 'it has stopped ("E7")'
    assert what_it_waits_for(status(accepts=False)) == "it takes no jobs now"
    assert what_it_waits_for(status(PrinterState.PROCESSING, "media-low-warning")) == ""


@pytest.mark.parametrize(
    ("job", "of", "said", "moves"),
    [
        (JobState.PROCESSING, status(PrinterState.PROCESSING), "2 of 5 printed", True),
        (JobState.STOPPED, status(PrinterState.STOPPED, "media-jam-error"), "paper jam", False),
        (JobState.PROCESSING, status(PrinterState.STOPPED, "media-empty-error"), "out of paper", False),
        (JobState.HELD, status(), "held at the printer: let it go there", False),
    ],
)
def test_how_a_job_goes(job, of, said, moves) -> None:
    told = how_it_goes(QueuedJob(job_id=1, name="x", state=job, sheets_done=2), of, 5)
    assert told == said
    assert is_progress(told) == moves


def test_a_job_without_counts() -> None:
    assert how_it_goes(QueuedJob(job_id=1, name="x", state=JobState.PROCESSING), status(), 5) == "being printed"
    assert is_progress(how_it_goes(QueuedJob(job_id=1, name="x", state=JobState.PENDING), status(), 5))
