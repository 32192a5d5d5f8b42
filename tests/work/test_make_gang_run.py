"""A run is made of orders that save sheets by it; bad art spoils it before anything is written."""

import hashlib
import tomllib
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from tests.conftest import TAG_PX
from tests.orders.an_order import an_order
from watcher.archive.effective_settings import settings_now
from watcher.archive.ticket_reader import read_ticket
from watcher.layout.geometry import Size
from watcher.orders.model import ArtSource
from watcher.orders.wishes import overs_from
from watcher.settings.load import load_settings
from watcher.terms import Side
from watcher.work.gang_model import Examination, Examined, RunJob, RunMade, RunSpoiled
from watcher.work.job import Job, job_for
from watcher.work.make_gang_run import examine, make_run
from watcher.work.order_art import HeldByFindings

SMALL = (TAG_PX[0] // 3, TAG_PX[1] // 3)


@pytest.fixture
def job_of(print_folder: Path, draw_card: Callable[..., Path], tmp_path: Path) -> Callable[..., Job]:
    """The job of an order of tags; nothing is compared by sight."""
    settings = load_settings(print_folder / "settings.toml")
    card = settings.cards["tag"]

    def make_job(name: str, quantity: int = 4, size: tuple[int, int] = TAG_PX) -> Job:
        file = draw_card(tmp_path / f"taking-{name}/{name}.png", size, word=name)
        art = (ArtSource(side=Side.FRONT, file=file.name, sha256=hashlib.sha256(file.read_bytes()).hexdigest()),)
        order = an_order(name, card="tag", sheet="a4", quantity=quantity, art=art)
        made_with = settings_now(settings, card, settings.sheet_for(card, "a4"))
        job = job_for(order, made_with, file.parent, "2026-03-01T09:05:07+00:00")
        return replace(job, building=tmp_path / f"building-{name}", read_back=False)

    return make_job


def run_of(tmp_path: Path, *jobs: Job) -> RunJob:
    numbers = {job.name: number for number, job in enumerate(jobs, 7)}
    return RunJob(jobs=jobs, numbers=numbers, run="run-1", building=tmp_path / "building", date="2026-03-01")


def test_two_orders_on_one_sheet_have_a_ticket_each_and_one_file(job_of: Callable[..., Job], tmp_path: Path) -> None:
    task = run_of(tmp_path, job_of("apple"), job_of("birch", 3))
    task.building.mkdir()
    made = make_run(task)
    assert isinstance(made, RunMade)
    assert (set(made.words), made.sheets, made.single_sheets) == ({"apple", "birch"}, 1, 2)
    tickets = {"apple_ticket.toml", "birch_ticket.toml"}
    assert set(made.product) == {"run-1_sheets.pdf", "run-1_instructions.pdf", ".numbers.json", *tickets}
    ticket = read_ticket(task.building / "birch_ticket.toml")
    assert ticket is not None
    assert (ticket.order, ticket.run, sorted(ticket.run_orders)) == ("birch", "run-1", ["apple", "birch"])


def test_each_order_has_its_card_s_picture_its_labels_and_its_share_of_the_cost(
    job_of: Callable[..., Job], tmp_path: Path
) -> None:
    """One sheet at 0.10 and one side at 0.05 for seven cards on it, four and three; shared by places."""

    def priced(job: Job) -> Job:
        settings = job.settings
        card = settings.card.model_copy(update={"label": Size(Fraction(100), Fraction(60)), "bundle": 2})
        sheet = settings.sheet.model_copy(update={"price": Decimal("0.10")})
        printer = settings.printer.model_copy(update={"click": Decimal("0.05")})
        return replace(job, settings=replace(settings, card=card, sheet=sheet, printer=printer), read_back=True)

    task = run_of(tmp_path, priced(job_of("apple")), priced(job_of("birch", 3)))
    task.building.mkdir()
    made = make_run(task)
    assert isinstance(made, RunMade)
    assert {f"{name}_{what}" for name in ("apple", "birch") for what in ("card.png", "label.pdf")} <= set(made.product)
    costs = [tomllib.loads((task.building / f"{name}_ticket.toml").read_text())["cost"] for name in ("apple", "birch")]
    assert sum(Decimal(cost["total"]) for cost in costs) == Decimal("0.15")
    assert all("money" not in cost for cost in costs)


def test_the_instructions_count_the_spare_sheets_of_each_kind(
    job_of: Callable[..., Job], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two kinds of sheet with one spare sheet each are two spare sheets."""
    told = []
    monkeypatch.setattr(
        "watcher.work.make_gang_run.write_instructions", lambda facts: told.append(facts) or b"%PDF-1.6\n%%EOF\n"
    )

    def spared(job: Job) -> Job:
        wishes = replace(job.order.wishes, overs=overs_from("1 sheet"))
        sheet = job.settings.sheet.model_copy(update={"gang_layouts": 2})
        return replace(job, order=replace(job.order, wishes=wishes), settings=replace(job.settings, sheet=sheet))

    task = run_of(tmp_path, *(spared(job_of(name, count)) for name, count in (("apple", 58), ("birch", 57))))
    task.building.mkdir()
    assert isinstance(make_run(task), RunMade)
    (facts,) = told
    assert (len(facts.gang.plan.forms), facts.count.spare) == (2, 2)


def test_what_saves_no_sheet_is_not_made(job_of: Callable[..., Job], tmp_path: Path) -> None:
    task = run_of(tmp_path, job_of("apple"))
    assert make_run(task) == RunMade(words={})
    assert not task.building.exists()


def test_the_order_with_bad_art_is_named_with_its_answer(job_of: Callable[..., Job], tmp_path: Path) -> None:
    spoiled = make_run(run_of(tmp_path, job_of("apple"), job_of("birch", 3, SMALL)))
    assert isinstance(spoiled, RunSpoiled)
    assert spoiled.order == "birch"
    assert spoiled.answer.held
    assert not (tmp_path / "building").exists()


def test_an_order_is_examined_before_it_waits_and_only_its_building_folder_is_made(job_of: Callable[..., Job]) -> None:
    good = job_of("apple")
    assert examine(Examination(job=good)) == Examined()
    assert [*good.building.iterdir()] == []
    with pytest.raises(HeldByFindings):
        examine(Examination(job=job_of("birch", size=SMALL)))
