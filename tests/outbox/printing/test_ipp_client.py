"""Every operation against a virtual printer of the printing system, which has its own reader and writer of IPP."""

import plistlib
import shutil
import subprocess
import time
from fractions import Fraction

import pytest

from tests.virtual_printer import A4, LETTER, Paper, needs_a_virtual_printer, written_attributes
from watcher.errors import PrinterBusy, PrinterGone, PrinterRefused
from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.contract import JobRequest, JobState, PrinterState
from watcher.outbox.printing.media import Media

pytestmark = needs_a_virtual_printer

LETTER_MM = Size(Fraction("215.9"), Fraction("279.4"))
RIM = Margins.all_round(Fraction("4.23"))
SHEETS = [
    Paper(size=LETTER, source="main", kind="cardstock"),
    Paper(size=A4, source="main", margins=(1168, 300, 1168, 300)),
]
REQUEST = JobRequest(job_name="spring 4f3a", sides="two-sided-long-edge", copies=3, scaling=None)


@pytest.fixture
def laser(printer_runs, connection):
    """A printer with letter in its tray."""
    printer = printer_runs(written_attributes(SHEETS, SHEETS[:1]))
    return printer, connection(printer.uri)


@pytest.fixture
def sheets_pdf(tmp_path):
    file = tmp_path / "sheets.pdf"
    file.write_bytes(b"%PDF-1.7\n" + bytes(range(256)) * 1000)
    return file


def wait_until_over(way, job_id):
    for _ in range(500):
        job = way.job(job_id)
        if job.state.is_over:
            return job
        time.sleep(0.02)
    raise AssertionError(job)


def test_it_tells_what_it_can(laser):
    _, way = laser

    says = way.says()

    assert [one.size for one in says.sheets] == [LETTER_MM, Size(Fraction(210), Fraction(297))]
    assert says.sheets[1].margins == Margins(Fraction("11.68"), Fraction(3), Fraction("11.68"), Fraction(3))
    assert says.sides == ("one-sided", "two-sided-long-edge", "two-sided-short-edge")
    assert "application/pdf" in says.formats


@pytest.mark.skipif(not shutil.which("ipptool"), reason="ipptool (Debian: cups-ipp-utils) is not there")
def test_another_reader_of_its_answer_reads_the_same(laser):
    """Source: ipptool of the printing system, whose answer is XML; what it says of conformance is not asked here."""
    printer, way = laser
    words = ["ipptool", "-X", printer.uri, "get-printer-attributes.test"]
    plist = plistlib.loads(subprocess.run(words, capture_output=True, check=False).stdout)
    groups = plist["Tests"][0]["ResponseAttributes"]
    theirs = next(group for group in groups if "media-col-database" in group)

    says = way.says()

    assert list(says.sides) == theirs["sides-supported"]
    assert [int(one.size.width * 100) for one in says.sheets] == [
        one["media-size"]["x-dimension"] for one in theirs["media-col-database"]
    ]


def test_it_tells_how_it_is(laser):
    _, way = laser

    status = way.status()

    assert (status.state, status.reasons, status.accepts_jobs) == (PrinterState.IDLE, (), True)
    assert [(one.size, one.source) for one in status.ready] == [(LETTER_MM, "main")]


def test_a_file_arrives_byte_for_byte(laser, sheets_pdf):
    printer, way = laser

    job_id = way.create_job(REQUEST).job_id
    way.send_document(job_id, sheets_pdf)

    assert wait_until_over(way, job_id).state is JobState.COMPLETED
    (arrived,) = printer.jobs.glob("*.pdf")
    assert arrived.read_bytes() == sheets_pdf.read_bytes()


def test_a_job_is_found_by_its_name(laser, sheets_pdf):
    _, way = laser
    job_id = way.create_job(REQUEST).job_id
    assert [(job.job_id, job.name) for job in way.jobs()] == [(job_id, "spring 4f3a")]

    way.send_document(job_id, sheets_pdf)
    wait_until_over(way, job_id)

    assert [job.name for job in way.jobs(finished=True)] == ["spring 4f3a"]
    assert way.jobs() == ()


def test_a_media_col_is_understood(laser):
    """The virtual printer compares its members with its own sheets and refuses others."""
    _, way = laser
    media = Media(size=LETTER_MM, source="main", kind="cardstock", margins=RIM)

    assert way.validate(JobRequest(job_name="n", media=media, scaling=None)) == ()
    with pytest.raises(PrinterRefused) as refused:
        way.validate(JobRequest(job_name="n", media=Media(size=Size(Fraction(9), Fraction(9))), scaling=None))
    assert refused.value.status == 0x40B
    assert "media-col" in str(refused.value)


def test_what_it_cannot_is_refused_with_its_name(laser):
    _, way = laser

    with pytest.raises(PrinterRefused, match="cannot print it as it is wanted: job-hold-until") as refused:
        way.create_job(JobRequest(job_name="n", held=True, scaling=None))
    assert (refused.value.status, refused.value.may_have_heard) == (0x40B, False)


def test_a_held_job_without_a_way_to_release_it_is_refused(laser):
    """Ippeveprinter knows no Release-Job."""
    _, way = laser
    job_id = way.create_job(REQUEST).job_id

    with pytest.raises(PrinterRefused, match="does not know how to do that"):
        way.release_job(job_id)


def test_a_printer_at_work_is_busy(laser):
    _, way = laser
    way.create_job(REQUEST)

    with pytest.raises(PrinterBusy, match="is at work on another job"):
        way.create_job(REQUEST)


def test_a_job_is_taken_back(laser):
    _, way = laser
    job_id = way.create_job(REQUEST).job_id

    way.cancel_job(job_id)

    assert way.job(job_id).state is JobState.CANCELLED


def test_an_unknown_job_is_none(laser):
    assert laser[1].job(4711) is None


def test_a_printer_that_is_off_is_gone_and_heard_nothing(laser):
    printer, way = laser
    printer.stop()

    with pytest.raises(PrinterGone, match="does not answer: it is off") as gone:
        way.says()
    assert not gone.value.may_have_heard


def test_a_wrong_path_is_told(laser, connection):
    printer, _ = laser

    with pytest.raises(PrinterRefused, match="no queue"):
        connection(printer.uri.replace("/ipp/print", "/printers/other")).says()
