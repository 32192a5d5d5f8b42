"""The sheets of an order are drawn and checked; what is wrong with them is kept with the order."""

import hashlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from tests.orders.an_order import an_order
from watcher.archive.effective_settings import settings_now
from watcher.orders.model import ArtSource
from watcher.settings.load import load_settings
from watcher.sheet.check.by_sight import LooksWrong, WrongPlace
from watcher.sheet.check.in_numbers import SheetWrong
from watcher.sheet.draw.plan import SheetPage, SheetPlan
from watcher.terms import Side
from watcher.work.job import HeldForFault, HeldForLooks, Job, job_for
from watcher.work.order_art import checked_art
from watcher.work.order_sheets import drawn_sheets
from watcher.work.settle_order import settle

TEXT = """
[cards.stamp]
trim = "30 x 20 mm"
bleed = "2 mm"
sides = 1
sheet = "slip"
warn_ppi = 20
hold_ppi = 10
[sheets.slip]
size = "70 x 60 mm"
printer = "office"
[printers.office]
"""


@pytest.fixture
def drawn(tmp_path: Path, draw_card: Callable[..., Path]) -> tuple[Job, SheetPlan]:
    """A job for a small sheet, and the plan of it."""
    (tmp_path / "settings.toml").write_text(TEXT)
    settings = load_settings(tmp_path / "settings.toml")
    card = settings.cards["stamp"]
    file = draw_card(tmp_path / "taking/stamp.png", (102, 72))  # with bleed, at 3 pixels a millimetre
    art = (ArtSource(side=Side.FRONT, file=file.name, sha256=hashlib.sha256(file.read_bytes()).hexdigest()),)
    order = an_order("stamp", card="stamp", sheet="slip", art=art)
    made_with = settings_now(settings, card, settings.sheets["slip"])
    job = replace(job_for(order, made_with, file.parent, "2026-03-01T09:05:07+00:00"), building=tmp_path / "building")
    job.building.mkdir()
    return job, settle(job, checked_art(job)).plan


@pytest.fixture
def looks_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check by sight finds the first card missing, whatever it sees."""
    place = WrongPlace(page=SheetPage(form=0, side=Side.FRONT), place=1, fault="is missing")

    def find(*_: object, **__: object) -> None:
        raise LooksWrong([place])

    monkeypatch.setattr("watcher.work.order_sheets.check_by_sight", find)


def test_nothing_is_rendered_where_nothing_is_compared_and_nobody_asks(drawn: tuple[Job, SheetPlan]) -> None:
    job, plan = drawn
    with drawn_sheets(replace(job, read_back=False), plan) as sheets:
        sheets.finish()
        assert (sheets.cards, sheets.preview) == ((), None)
        assert [file.pdf[:5] for file in sheets.files] == [b"%PDF-"]


def test_a_good_sheet_gives_a_picture_of_each_side_and_a_preview_as_large_as_was_said(
    drawn: tuple[Job, SheetPlan],
) -> None:
    with drawn_sheets(*drawn) as sheets:
        assert len(sheets.cards) == 1
        assert sheets.preview is not None
        assert sheets.preview.picture().size == sheets.preview.size_px
    assert [*drawn[0].building.iterdir()] == []


def test_what_looks_wrong_is_held_with_a_picture_of_the_place_first(
    drawn: tuple[Job, SheetPlan], looks_wrong: None
) -> None:
    with pytest.raises(HeldForLooks) as held, drawn_sheets(*drawn):
        pass
    assert held.value.pictures[0] == "fault_card-1_front.png"
    assert {file.name for file in drawn[0].building.iterdir()} == set(held.value.pictures)


def test_a_person_who_says_that_it_is_right_is_told_what_was_found(
    drawn: tuple[Job, SheetPlan], looks_wrong: None
) -> None:
    job, plan = drawn
    with drawn_sheets(replace(job, order=replace(job.order, overruled=True)), plan) as sheets:
        assert "is missing" in str(sheets.overruled())


def test_a_file_that_is_not_as_planned_is_a_fault_and_kept_beside_the_order(
    drawn: tuple[Job, SheetPlan], monkeypatch: pytest.MonkeyPatch
) -> None:
    def find(*_: object) -> None:
        raise SheetWrong("a page is missing")

    monkeypatch.setattr("watcher.work.order_sheets.read_back", find)
    with pytest.raises(HeldForFault, match="a page is missing"), drawn_sheets(*drawn):
        pass
    assert any(file.suffix == ".pdf" for file in drawn[0].building.iterdir())
