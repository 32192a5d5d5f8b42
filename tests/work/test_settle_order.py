"""What is decided about an order before its sheets are drawn."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.conftest import TAG_PX
from watcher.errors import OrderHeld
from watcher.work.job import Job
from watcher.work.order_art import checked_art
from watcher.work.settle_order import settle


def test_a_number_of_sheets_is_of_no_design_where_there_are_several(job_of: Callable[..., Job]) -> None:
    job = replace(job_of(TAG_PX, TAG_PX), sheets_only=3)
    with pytest.raises(OrderHeld, match="does not tell which of them are wanted"):
        settle(job, checked_art(job))
    designs = settle(replace(job, sheets_only=None), checked_art(job)).designs
    assert designs is not None
    assert designs.numbers == (1, 2)
