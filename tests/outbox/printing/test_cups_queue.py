"""A queue of CUPS: what it holds and releases, and after which fault it sends a job again by itself.

The figures of the error policies stand in README; here they are measured.
"""

import time

import pytest

from tests.cups_queue import needs_cups, printing_system
from watcher.errors import PrinterRefused
from watcher.outbox.printing.contract import JobRequest, JobState

pytestmark = needs_cups

RAW = "application/vnd.cups-raw"


@pytest.fixture(scope="module")
def cups():
    with printing_system() as system:
        yield system


@pytest.fixture
def sheets(tmp_path):
    file = tmp_path / "sheets.pdf"
    file.write_bytes(b"%PDF-1.7\n" * 100)
    return file


def wait_for(condition):
    for _ in range(500):
        if condition():
            return
        time.sleep(0.02)
    raise AssertionError(condition)


def send(way, name, sheets, *, held=False):
    job_id = way.create_job(JobRequest(job_name=name, held=held)).job_id
    way.send_document(job_id, sheets, RAW)
    return job_id


def test_a_held_job_waits_until_it_is_released_and_is_sent_once(cups, connection, sheets):
    way = connection(cups.add_queue("held", "abort-job"))
    assert way.says().holds
    job_id = send(way, "order 1 token", sheets, held=True)
    assert (way.job(job_id).state, cups.sent("order 1 token")) == (JobState.HELD, 0)

    way.release_job(job_id)

    wait_for(lambda: way.job(job_id).state is JobState.COMPLETED)
    assert cups.sent("order 1 token") == 1


def test_a_second_release_is_refused(cups, connection, sheets):
    """RFC 8011 4.3.6: client-error-not-possible."""
    way = connection(cups.add_queue("twice", "abort-job"))
    job_id = send(way, "order 2 token", sheets, held=True)
    way.release_job(job_id)

    with pytest.raises(PrinterRefused, match="cannot do that now") as refused:
        way.release_job(job_id)
    assert refused.value.status == 0x404


def test_a_held_job_is_found_by_its_name(cups, connection, sheets):
    way = connection(cups.add_queue("found", "abort-job"))
    job_id = send(way, "Pärchen token", sheets, held=True)

    assert [(job.job_id, job.name) for job in way.jobs()] == [(job_id, "Pärchen token")]
    way.cancel_job(job_id)
    assert way.jobs() == ()


def test_a_queue_that_is_not_there_is_told(cups, connection):
    with pytest.raises(PrinterRefused, match="no queue"):
        connection(f"ipp://127.0.0.1:{cups.port}/printers/nowhere").says()


def test_a_job_that_failed_is_sent_again_by_other_policies_than_abort_job(cups, connection, sheets):
    """The same was measured by hand with retry-job, which takes some seconds to try again."""
    ways = {
        policy: connection(cups.add_queue(policy, policy))
        for policy in ("abort-job", "retry-current-job", "stop-printer")
    }
    cups.fail(1)
    for policy, way in ways.items():
        send(way, f"order {policy}", sheets)
    wait_for(lambda: [cups.sent(f"order {policy}") for policy in ways] == [1, 2, 1])

    cups.command("cupsenable", "stop-printer", "abort-job")

    wait_for(lambda: cups.sent("order stop-printer") == 2)
    assert cups.sent("order abort-job") == 1
