"""What a printer's answer means for a job."""

from types import SimpleNamespace

import pytest

from tests.outbox.printing.a_job import STATUS, says, wanted
from tests.stand_in_printer import CANCELLED, COMPLETED, HELD, PROCESSING, Job, stand_in
from watcher.outbox.printing import printer_calls as calls
from watcher.outbox.printing.contract import JobRequest, JobState, QueuedJob
from watcher.outbox.printing.sending_life import Event

ASKED = JobRequest(job_name="lantern sheets abc", held=True)


@pytest.fixture
def printer():
    with stand_in() as running:
        yield running


def lies_there(printer, state=HELD, name="lantern sheets abc"):
    printer.jobs[5] = Job(number=5, asked={"job-name": [name]}, state=state)


def asked_of_one_that_ignores(*names):
    """What is asked for in the end of a printer that says beforehand what it would ignore."""
    printer = SimpleNamespace(status=lambda: STATUS, says=says, validate=lambda _request: names, jobs=list)
    outcome = calls.ask(printer, wanted(quality="high"), "name", [])
    assert outcome.event is Event.FITS
    return outcome.request.held, outcome.request.quality, outcome.request.collated


@pytest.mark.parametrize(
    ("ignored", "asked"),
    [
        ((), (True, 5, True)),
        (("job-hold-until",), (False, 5, True)),
        (("print-quality",), (True, None, True)),
        (("multiple-document-handling",), (True, 5, None)),
    ],
)
def test_what_the_sheets_can_do_without_is_left_out_where_the_printer_ignores_it(ignored, asked) -> None:
    assert asked_of_one_that_ignores(*ignored) == asked


def test_a_new_job_that_the_printer_calls_held(printer, connection) -> None:
    made = calls.create(connection(printer.uri), ASKED, "laser")
    assert (made.event, made.held, made.job_id) == (Event.CREATED, True, 1)


def test_a_printer_that_does_not_hold_is_not_believed_to(connection) -> None:
    with stand_in(holds=False) as printer:
        made = calls.create(connection(printer.uri), ASKED, "laser")
    assert (made.event, made.held) == (Event.CREATED, False)


def test_a_job_that_leaves_something_out_is_taken_back(printer, connection) -> None:
    printer.ignored = ("sides",)
    made = calls.create(connection(printer.uri), ASKED, "laser")
    assert made.event is Event.DIFFERS
    assert printer.jobs[1].state == CANCELLED


def test_a_broken_connection_leaves_open_whether_there_is_a_job(printer, connection) -> None:
    printer.dies["create"] = "after"
    assert calls.create(connection(printer.uri), ASKED, "laser").event is Event.NOT_CREATED


def test_a_job_is_known_by_its_token(printer, connection) -> None:
    lies_there(printer)
    there = connection(printer.uri)
    assert calls.find(there, 5, "abc", 1).event is Event.FOUND
    assert calls.find(there, 5, "xyz", 1).event is Event.NOT_FOUND
    assert calls.find(there, 6, "abc", 1).event is Event.NOT_FOUND


def test_a_held_job_is_taken_back(printer, connection) -> None:
    lies_there(printer)
    assert calls.take_back(connection(printer.uri), 5, "abc", 1).event is Event.TAKEN_BACK


def test_one_that_was_printed_meanwhile_is_not(printer, connection) -> None:
    lies_there(printer, COMPLETED)
    assert calls.take_back(connection(printer.uri), 5, "abc", 1).event is Event.NOT_NOW


def test_a_second_release_is_no_harm(printer, connection) -> None:
    lies_there(printer)
    there = connection(printer.uri)
    assert calls.release(there, 5).event is Event.RELEASED
    assert calls.release(there, 5).event is Event.LOST_TRACK


@pytest.mark.parametrize(
    ("state", "counted", "early", "blank"),
    [
        (JobState.CANCELLED, {"sheets_done": 0}, True, True),
        (JobState.ABORTED, {}, True, False),
        (JobState.ABORTED, {"sheets_done": 0, "sides_done": 1}, True, False),
        (JobState.COMPLETED, {"sheets_done": 0}, False, False),
        (JobState.COMPLETED, {"reasons": ("job-completed-with-errors",), "sheets_done": 0}, True, False),
        (JobState.PROCESSING, {"sheets_done": 0}, False, False),
    ],
)
def test_whether_it_ended_early_and_blank(state, counted, early, blank) -> None:
    job = QueuedJob(job_id=1, name="x", state=state, **counted)
    assert (calls.gave_up(job), calls.gave_up_blank(job)) == (early, blank)


def test_sheets_that_cannot_be_read_are_said(printer, connection, tmp_path) -> None:
    lies_there(printer)
    sent = calls.send(connection(printer.uri), 5, tmp_path / "gone.pdf", held=True)
    assert sent.event is Event.LOST_TRACK


@pytest.mark.parametrize(("state", "said"), [(PROCESSING, "out of paper"), (COMPLETED, "")])
def test_of_a_job_that_is_over_it_is_not_said_what_the_printer_waits_for(printer, connection, state, said) -> None:
    lies_there(printer, state)
    printer.attributes |= {"printer-state": 5, "printer-state-reasons": "media-empty-error"}
    assert calls.find(connection(printer.uri), 5, "abc", 1).says == said
