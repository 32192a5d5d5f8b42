"""What is known of the printing of one order."""

import pytest

from watcher.archive.folder_words import Word
from watcher.outbox.printing.order_printing import OrderNote, OrderPrinting, Part, SheetJob, wish_text
from watcher.outbox.printing.sending_life import JobStage


def printing(*jobs: tuple[JobStage, Part, int]) -> OrderPrinting:
    """An order of which so many sheets of each of these jobs went to a printer."""
    made = [
        SheetJob(order_key="k", printer="p", stack=0, side=side, first=1, sheets=sheets, stage=stage)
        for stage, side, sheets in jobs
    ]
    return OrderPrinting(note=OrderNote(key="k", name="lantern", sheets=6), jobs=tuple(made))


def test_sheets_count_once_both_of_their_sides_are_printed():
    found = printing((JobStage.PRINTED, Part.ALL, 2), (JobStage.PRINTED, Part.FRONTS, 4))
    assert (found.printed(0), found.sheets_printed) == (2, 2)
    assert found.awaiting_backs == found.jobs[1]


@pytest.mark.parametrize(
    ("stage", "under_way", "unclear"),
    [(JobStage.WAITING, 1, 0), (JobStage.SENDING, 1, 0), (JobStage.PERHAPS, 0, 1), (JobStage.PRINTED, 0, 0)],
)
def test_a_job_is_under_way_or_unclear_by_its_stage(stage, under_way, unclear):
    found = printing((stage, Part.ALL, 2))
    assert (len(found.under_way), len(found.unclear)) == (under_way, unclear)


def test_a_rename_as_it_is_noted() -> None:
    assert wish_text(Word.PRINT, None) == "print"
    assert wish_text(Word.PRINT, 3) == "print 3"
