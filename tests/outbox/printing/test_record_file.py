"""`printing.txt` tells what was sent, what became of it, and what a person is to look at."""

import os

import pytest

from watcher.outbox.printing.order_printing import OrderNote, OrderPrinting, Part, SheetJob
from watcher.outbox.printing.record_file import (
    RECORD_NAME,
    read_record,
    record_text,
    what_of,
    what_to_look_at,
    write_record,
)
from watcher.outbox.printing.sending_life import JobStage

NOTE = OrderNote(key="k", name="lantern", sheets=26)


def job(stage: JobStage, side: Part = Part.ALL, **more: object) -> SheetJob:
    given = {"order_key": "k", "printer": "laser", "stack": 0, "side": side, "first": 1, "sheets": 2, "stage": stage}
    return SheetJob(**{**given, "since": "2026-11-30T18:40:12+00:00", **more})


def test_nothing_was_sent_nothing_is_said() -> None:
    assert record_text(OrderPrinting(note=NOTE, jobs=(job(JobStage.WAITING), job(JobStage.WITHDRAWN)))) == ""


def test_a_line_for_each_job() -> None:
    sent = OrderPrinting(note=NOTE, jobs=(job(JobStage.PRINTED, token="abc"),))
    assert record_text(sent) == "2026-11-30 18:40  2 sheets, laser: printed   [abc]\n"
    assert "printed by hand" in record_text(OrderPrinting(note=NOTE, jobs=(job(JobStage.PRINTED, printer=""),)))


def test_what_a_person_is_to_look_at_and_how_to_answer() -> None:
    said = what_to_look_at("lantern", (job(JobStage.PERHAPS, says="it went off", token="abc"),))
    for word in ("2 sheets", "laser", "it went off", "output tray", "abc", "lantern printed 2", "lantern print."):
        assert word in said
    fronts = what_to_look_at("lantern", (job(JobStage.PERHAPS, Part.FRONTS),))
    assert "lantern fronts printed. Else take away those that came: lantern print." in fronts


def test_the_file_is_read_as_it_was_written(tmp_path) -> None:
    assert read_record(tmp_path) is None
    write_record(tmp_path, "é\n")
    assert read_record(tmp_path) == "é\n"
    write_record(tmp_path, "")
    assert not (tmp_path / RECORD_NAME).exists()


def test_a_link_in_its_place_is_not_followed(tmp_path) -> None:
    (tmp_path / "secret").write_text("x")
    (tmp_path / RECORD_NAME).symlink_to(tmp_path / "secret")
    assert read_record(tmp_path) is None


def test_what_a_job_prints() -> None:
    assert what_of(job(JobStage.PRINTED)) == "2 sheets"
    assert what_of(job(JobStage.PRINTED, Part.BACKS)) == "the backs of 2 sheets"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_in_its_place_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / RECORD_NAME)
    assert read_record(tmp_path) is None
