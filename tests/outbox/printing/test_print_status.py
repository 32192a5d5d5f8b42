"""How an order's printing stands, in a line for people."""

import pytest

from watcher.outbox.printing.order_printing import OrderNote, OrderPrinting, Part, SheetJob
from watcher.outbox.printing.print_status import print_status
from watcher.outbox.printing.sending_life import JobStage
from watcher.outbox.printing.standing import PrintStanding


def printing(*stages: JobStage, side: Part = Part.ALL, says: str = "", **note: str) -> OrderPrinting:
    jobs = tuple(
        SheetJob(order_key="k", printer="laser", stack=0, side=side, first=1, sheets=2, stage=stage, says=says)
        for stage in stages
    )
    return OrderPrinting(note=OrderNote(key="k", name="lantern", sheets=26, **note), jobs=jobs)


@pytest.mark.parametrize(
    ("order", "standing", "said"),
    [
        (printing(JobStage.SENDING), PrintStanding.SENDING, "sending 2 sheets to the printer laser"),
        (printing(JobStage.WAITING, says="out of paper"), PrintStanding.WAITING, "wait for the printer laser: out of"),
        (
            printing(JobStage.WAITING, says="The printer laser is off."),
            PrintStanding.WAITING,
            "wait. The printer laser is off",
        ),
        (printing(JobStage.PRINTING, says="1 of 2 printed"), PrintStanding.PRINTING, "laser: 1 of 2 printed"),
        (printing(JobStage.PRINTING, says="paper jam"), PrintStanding.WAITING, "laser: paper jam"),
        (printing(JobStage.PRINTED), PrintStanding.SOME, "printed 2 of 26"),
        (printing(JobStage.PRINTED, side=Part.FRONTS), PrintStanding.BACKS, "rename the folder to lantern print"),
        (printing(JobStage.PERHAPS, look_at="Look there."), PrintStanding.PERHAPS, "Look there"),
    ],
)
def test_how_it_stands(order, standing, said) -> None:
    found = print_status(order)
    assert found is not None
    assert (found.standing, said in found.says) == (standing, True), found.says


def test_what_was_refused() -> None:
    found = print_status(OrderPrinting(note=OrderNote(key="k", name="x", sheets=1, says="No paper.")))
    assert found is not None
    assert found.says == "not printed: No paper"  # without a full stop: more follows in the same line


def test_the_paper_that_it_still_takes() -> None:
    found = print_status(printing(JobStage.PRINTED, JobStage.PRINTED))
    assert found is not None
    assert (found.printed, found.left) == (4, 22)
    assert print_status(printing()) is None


def test_paper_with_its_fronts_on_it_is_no_longer_to_be_taken_out() -> None:
    found = print_status(printing(JobStage.PRINTED, side=Part.FRONTS))
    assert found is not None
    assert (found.printed, found.left) == (0, 24)
