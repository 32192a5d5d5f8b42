"""From a job to what is said of it and to its finished folder, without pictures of the sheets."""

from collections.abc import Callable

import pytest

from tests.conftest import TAG_PX
from watcher.terms import Level
from watcher.work.job import Job, OrderCheck
from watcher.work.make_order import check, make
from watcher.work.order_art import HeldByFindings


def test_a_check_says_what_the_order_comes_to_and_writes_nothing(job_of: Callable[..., Job]) -> None:
    job = job_of(TAG_PX)
    whole = check(OrderCheck(job=job))
    assert whole.up > 1
    assert str(whole.words).startswith("12 cards")
    part = check(OrderCheck(job=job, is_whole=False))
    assert (part.words, part.up) == (None, 0)
    assert not job.building.exists()


def test_without_the_look_at_the_sheets_the_product_has_no_pictures(job_of: Callable[..., Job]) -> None:
    job = job_of(TAG_PX)
    made = make(job)
    assert set(made.product) == {"tag_sheets.pdf", "tag_instructions.pdf", "tag_ticket.toml"}
    assert made.product == {file.name: file.stat().st_size for file in job.building.iterdir()}
    assert made.sheets == -(-12 // made.up)


def test_bad_art_leaves_nothing_but_its_picture_in_the_building_folder(job_of: Callable[..., Job]) -> None:
    job = job_of((TAG_PX[0] // 3, TAG_PX[1] // 3))
    job.building.mkdir()
    (job.building / "earlier.pdf").write_bytes(b"%PDF")
    with pytest.raises(HeldByFindings) as held:
        make(job)
    assert held.value.findings[0].level in (Level.HOLD, Level.REFUSE)
    assert [file.name for file in job.building.iterdir()] == ["tag_why.png"]
