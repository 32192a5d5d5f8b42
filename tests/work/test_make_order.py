"""From a job to what is said of it and to its finished folder, without pictures of the sheets."""

import hashlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from tests.conftest import TAG_PX
from tests.orders.an_order import an_order
from watcher.archive.effective_settings import settings_now
from watcher.errors import OrderHeld
from watcher.orders.model import ArtSource
from watcher.settings.load import load_settings
from watcher.terms import Level, Side
from watcher.work.job import Job, OrderCheck, job_for
from watcher.work.make_order import check, make, print_files, settle
from watcher.work.order_art import HeldByFindings, checked_art


@pytest.fixture
def job_of(print_folder: Path, draw_card: Callable[..., Path], tmp_path: Path) -> Callable[..., Job]:
    """The job of an order of tags, each design drawn at a size; nothing is compared by sight."""
    settings = load_settings(print_folder / "settings.toml")
    card = settings.cards["tag"]

    def make_job(*sizes: tuple[int, int], **values: object) -> Job:
        art = []
        for number, size in enumerate(sizes, 1):
            data = draw_card(tmp_path / f"taking/tag-{number}.png", size, word=str(number)).read_bytes()
            digest = hashlib.sha256(data).hexdigest()
            art.append(ArtSource(side=Side.FRONT, file=f"tag-{number}.png", sha256=digest, design=number))
        order = an_order("tag", **{"card": "tag", "sheet": "a4", "quantity": 12, "art": tuple(art), **values})
        made_with = settings_now(settings, card, settings.sheet_for(card, "a4"))
        job = job_for(order, made_with, tmp_path / "taking", "2026-03-01T09:05:07+00:00")
        return replace(job, building=tmp_path / "building", read_back=False)

    return make_job


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


def test_a_number_of_sheets_is_of_no_design_where_there_are_several(job_of: Callable[..., Job]) -> None:
    job = replace(job_of(TAG_PX, TAG_PX), sheets_only=3)
    with pytest.raises(OrderHeld, match="does not tell which of them are wanted"):
        settle(job, checked_art(job))
    designs = settle(replace(job, sheets_only=None), checked_art(job)).designs
    assert designs is not None
    assert designs.numbers == (1, 2)


def test_one_design_is_printed_as_copies_of_one_page(job_of: Callable[..., Job]) -> None:
    job = job_of(TAG_PX)
    settled = settle(job, checked_art(job))
    (file,) = print_files("otter", settled.plan)
    assert (file.file, file.copies * len(settled.plan.forms)) == ("otter_sheets.pdf", settled.plan.sheets)
    assert settled.designs is None
