"""Jobs go through the table of their life; what each printer does is the stand-in's."""

import time

import pytest

from tests.stand_in_printer import stand_in
from watcher.outbox.printing.job_request import Wanted
from watcher.outbox.printing.notes import open_notes
from watcher.outbox.printing.order_printing import OrderNote, Part, SheetJob
from watcher.outbox.printing.printer_threads import PrinterThreads
from watcher.outbox.printing.sending import Prepared, Sending
from watcher.outbox.printing.sending_life import JobStage, rules_for
from watcher.outbox.printing.stacks import NotSent

WITHIN_S = 10.0


class Supplies:
    """One sheet of letter, at hand; fulfils `sending.Supplies`."""

    def __init__(self, connect, wanted, file) -> None:
        self.connect, self.wanted, self.file = connect, wanted, file
        self.told: list[JobStage] = []
        self.refusal: str | None = None

    def connection(self, _job):
        return self.connect

    def prepare(self, _job) -> Prepared:
        if self.refusal:
            raise NotSent(self.refusal)
        self.file.write_bytes(self.file.with_suffix(".kept").read_bytes())
        return Prepared(wanted=self.wanted, file=self.file, sha256="s", queue="q")

    def before_document(self, job) -> None:
        self.told.append(job.stage)

    def lines_for(self, job) -> tuple[str, ...]:
        return (f"{job.stage}",)


@pytest.fixture
def desk(tmp_path, connection, monkeypatch):
    """Notes with one job, a printer, and the sending of it."""
    from fractions import Fraction
    from io import BytesIO

    import pypdf

    from watcher.archive.order_ticket import PrintFile
    from watcher.layout.geometry import Size
    from watcher.settings.sheet import SheetSettings

    monkeypatch.setattr("watcher.outbox.printing.sending.POLL_S", 0.01)
    monkeypatch.setattr("watcher.outbox.printing.sending.RETRY_S", (0.01,))
    writer, data = pypdf.PdfWriter(), BytesIO()
    writer.add_blank_page(612, 792)
    writer.write(data)
    (tmp_path / "1.kept").write_bytes(data.getvalue())
    notes, threads = open_notes(tmp_path), PrinterThreads()
    job = SheetJob(order_key="k", printer="laser", stack=0, side=Part.ALL, first=1, sheets=1)
    notes.write(OrderNote(key="k", name="lantern", sheets=1, wish="print"), jobs=(job,))
    with stand_in() as printer:
        wanted = Wanted(
            order="lantern",
            printer="laser",
            sheet=SheetSettings(name="letter", size="letter", printer="laser"),
            size=Size(Fraction("215.9"), Fraction("279.4")),
            file=PrintFile(file="x", copies=1, sides="one-sided", media="m"),
            copies=1,
        )
        supplies = Supplies(lambda: connection(printer.uri), wanted, tmp_path / "1.pdf")
        yield Sending(notes, threads, supplies, lambda: "2026-11-30T18:00:00"), printer, supplies, notes
        threads.stop()
        notes.close()


def stage(notes) -> JobStage:
    return notes.find("k").jobs[0].stage


def until(sending, what) -> None:
    end = time.monotonic() + WITHIN_S
    while not what():
        assert time.monotonic() < end
        sending.step(time.monotonic())
        time.sleep(0.002)


def test_a_job_is_created_filled_released_and_followed_to_its_end(desk) -> None:
    sending, printer, supplies, notes = desk
    until(sending, lambda: not sending.jobs)
    assert stage(notes) is JobStage.PRINTED
    order = [name for name in printer.asked if name in ("validate", "create", "send", "release")]
    assert order == ["validate", "create", "send", "release"]
    assert supplies.told == [JobStage.SENDING]
    assert not supplies.file.exists()
    assert [line for _, line, _ in notes.lines()] == ["printed"]


def test_what_is_refused_here_never_reaches_the_printer(desk) -> None:
    sending, printer, supplies, notes = desk
    supplies.refusal = "The sheets are gone."
    until(sending, lambda: not sending.jobs)
    assert (stage(notes), notes.find("k").jobs[0].says, printer.asked) == (
        JobStage.NOT_PRINTED,
        "The sheets are gone.",
        [],
    )


def test_a_wish_is_taken_back_only_before_anything_went_out(desk) -> None:
    sending, printer, _, notes = desk
    printer.attributes["printer-state"] = 5
    until(sending, lambda: sending.is_settled)
    until(sending, lambda: sending.withdraw(sending.jobs[1]) if sending.jobs else True)
    assert stage(notes) is JobStage.WITHDRAWN
    assert printer.paper == []


def test_a_job_that_vanishes_while_it_is_held_is_sent_anew_under_another_token(desk) -> None:
    sending, printer, _, notes = desk
    printer.forgets, printer.dies["send"] = True, "after"
    until(sending, lambda: not sending.jobs)
    assert stage(notes) is JobStage.PRINTED
    names = [asked["job-name"][0] for name, asked in printer.heard if name == "create"]
    assert len(set(names)) == 2
    assert printer.sheets == 1


def test_one_that_vanishes_once_it_was_let_go_is_not(desk) -> None:
    sending, printer, _, notes = desk
    printer.forgets, printer.dies["release"] = True, "after"
    until(sending, lambda: not sending.jobs)
    assert stage(notes) is JobStage.PERHAPS
    assert printer.sheets == 1


def test_no_row_begins_a_job_again_that_may_be_on_paper() -> None:
    """From RELEASING on, and from SENDING without a hold, only a person can have it sent again."""
    from watcher.outbox.printing.sending_life import LIFE, If

    again = [rule for rule in LIFE if rule.then is JobStage.WAITING]
    assert {stage for rule in again for stage in rule.stages} == {JobStage.CREATING, JobStage.SENDING}
    lost = [rule for rule in again if JobStage.SENDING in rule.stages]
    assert {(rule.event.name, rule.when) for rule in lost} == {("TAKEN_BACK", None), ("NOT_FOUND", If.WAS_HELD)}
    assert rules_for(JobStage.PRINTED, lost[0].event) == ()
