"""Calls run beside the service, one at a time for each printer."""

import multiprocessing.connection
import threading

import pytest

from watcher.errors import PrinterRefused
from watcher.outbox.printing.printer_calls import Outcome
from watcher.outbox.printing.printer_threads import PrinterThreads
from watcher.outbox.printing.sending_life import Event

WITHIN_S = 10.0


@pytest.fixture
def threads():
    started = PrinterThreads()
    yield started
    started.stop()


def ended(threads):
    assert multiprocessing.connection.wait([threads.pipe], WITHIN_S)
    return threads.ended()


def test_a_call_ends_with_what_it_came_to(threads) -> None:
    outcome = Outcome(event=Event.RELEASED)
    threads.start("laser", 7, lambda: None, lambda _printer: outcome)
    assert ended(threads) == [(7, outcome)]
    assert not threads.any_busy


def test_a_printer_that_hangs_keeps_no_other_one(threads) -> None:
    let_go = threading.Event()
    threads.start("old", 1, lambda: None, lambda _: Outcome(event=Event.NOT_NOW, says=str(let_go.wait(WITHIN_S))))
    threads.start("new", 2, lambda: None, lambda _: Outcome(event=Event.RELEASED))
    assert [number for number, _ in ended(threads)] == [2]
    assert threads.is_busy("old")
    let_go.set()
    assert [number for number, _ in ended(threads)] == [1]


def refuse():
    raise PrinterRefused("The login cannot be used.")


def test_a_connection_that_cannot_be_made_is_said(threads) -> None:
    threads.start("laser", 1, refuse, lambda _: Outcome(event=Event.RELEASED))
    ((_, outcome),) = ended(threads)
    assert (outcome.event, outcome.says) == (Event.NOT_NOW, "The login cannot be used.")


def test_a_fault_of_ours_ends_no_thread(threads) -> None:
    threads.start("laser", 1, lambda: None, lambda _: 1 / 0)
    ((_, outcome),) = ended(threads)
    assert "internal fault" in outcome.says
    threads.start("laser", 2, lambda: None, lambda _: Outcome(event=Event.RELEASED))
    assert ended(threads)[0][0] == 2
