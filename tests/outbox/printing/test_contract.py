"""The contract that sending relies on."""

import inspect

from watcher.outbox.printing.contract import JobState, Printer, PrinterState
from watcher.outbox.printing.ipp_client import PrinterConnection


def test_a_connection_has_every_method_of_the_contract_with_its_parameters():
    for name, method in inspect.getmembers(Printer, inspect.isfunction):
        if not name.startswith("_"):
            assert inspect.signature(getattr(PrinterConnection, name)) == inspect.signature(method), name


def test_a_job_is_over_when_nothing_more_can_come():
    """Source: RFC 8011 5.3.7, the terminal states."""
    assert {state for state in JobState if state.is_over} == {7, 8, 9}


def test_states_have_the_numbers_of_the_standard():
    """Source: RFC 8011 5.3.7 (job-state, pending to completed) and 5.4.11 (printer-state, idle to stopped)."""
    job = ["PENDING", "HELD", "PROCESSING", "STOPPED", "CANCELLED", "ABORTED", "COMPLETED"]
    assert [(state.name, state.value) for state in JobState] == list(zip(job, range(3, 10), strict=True))
    assert {state.name: state.value for state in PrinterState} == {"IDLE": 3, "PROCESSING": 4, "STOPPED": 5}
