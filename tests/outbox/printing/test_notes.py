"""What was sent is noted durably, and read from outside."""

import pytest

from watcher.outbox.printing.notes import open_notes, read_printings
from watcher.outbox.printing.order_printing import OrderNote, Part, SheetJob, order_key
from watcher.outbox.printing.sending_life import JobStage
from watcher.outbox.printing.standing import NOTES_NAME
from watcher.records.journal import JournalTrouble

KEY = order_key("lantern", "2026-11-30T18:00:00+00:00")


@pytest.fixture
def notes(tmp_path):
    opened = open_notes(tmp_path)
    yield opened
    opened.close()


def job(stage: JobStage = JobStage.WAITING, **more: object) -> SheetJob:
    return SheetJob(
        **{
            "order_key": KEY,
            "printer": "p",
            "stack": 0,
            "side": Part.ALL,
            "first": 1,
            "sheets": 2,
            "stage": stage,
            **more,
        }
    )  # type: ignore[arg-type]


def note(**more: str) -> OrderNote:
    return OrderNote(key=KEY, name="lantern", sheets=3, **more)  # type: ignore[arg-type]


def test_an_order_is_found_with_its_jobs(notes, tmp_path) -> None:
    notes.write(note(wish="print"), jobs=(job(), job(JobStage.PRINTED)), lines=("lantern: sent",), since="2026")
    found = notes.find(KEY)
    assert [one.stage for one in found.jobs] == [JobStage.WAITING, JobStage.PRINTED]
    assert found.printed(0) == 2
    assert [one.number for one in notes.jobs_under_way()] == [1]
    assert notes.with_a_wish() == [found]
    assert notes.lines() == [(1, "lantern: sent", "2026")]
    assert read_printings(tmp_path) == {KEY: found}


def test_a_job_is_changed_in_its_place(notes) -> None:
    notes.write(note(), jobs=(job(),))
    notes.write(jobs=(job(JobStage.SENDING, number=1, token="t", job_id=7, held=True),))
    (found,) = notes.find(KEY).jobs
    assert (found.stage, found.token, found.job_id, found.held) == (JobStage.SENDING, "t", 7, True)


def test_fronts_wait_for_their_backs(notes) -> None:
    notes.write(note(), jobs=(job(JobStage.PRINTED, side=Part.FRONTS),))
    assert [one.note.key for one in notes.awaiting_backs()] == [KEY]
    notes.write(jobs=(job(JobStage.PRINTED, side=Part.BACKS),))
    assert notes.awaiting_backs() == []
    assert notes.find(KEY).sheets_printed == 2


def test_trust_and_lines_are_kept_until_they_go(notes) -> None:
    notes.trust(("a", "b"))
    notes.write(lines=("one",))
    notes.drop_line(1)
    assert notes.is_trusted("b")
    assert not notes.is_trusted("c")
    assert notes.lines() == []


def test_notes_that_were_deleted_are_missed(notes, tmp_path) -> None:
    notes.check()
    (tmp_path / NOTES_NAME).unlink()
    with pytest.raises(JournalTrouble, match="deleted"):
        notes.check()


def test_notes_that_are_damaged_are_a_plain_line(tmp_path) -> None:
    assert read_printings(tmp_path) == {}
    (tmp_path / NOTES_NAME).write_bytes(b"scribble" * 1000)
    for opening in (open_notes, read_printings):
        with pytest.raises(JournalTrouble, match="notes"):
            opening(tmp_path)


def test_an_order_is_forgotten_with_its_jobs(notes) -> None:
    notes.write(note(), jobs=(job(),))
    notes.forget(KEY)
    assert notes.orders() == []
    assert notes.jobs_under_way() == []
