"""What the ticket of an order tells of its files."""

from collections.abc import Callable

from tests.conftest import TAG_PX
from watcher.work.job import Job
from watcher.work.order_art import checked_art
from watcher.work.settle_order import settle
from watcher.work.ticket_facts import print_files


def test_one_design_is_printed_as_copies_of_one_page(job_of: Callable[..., Job]) -> None:
    job = job_of(TAG_PX)
    settled = settle(job, checked_art(job))
    (file,) = print_files("otter", settled.plan)
    assert (file.file, file.copies * len(settled.plan.forms)) == ("otter_sheets.pdf", settled.plan.sheets)
    assert settled.designs is None
