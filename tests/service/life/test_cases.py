"""What is known of a run: which orders share its sheets, and what is delivered of it."""

from dataclasses import replace
from pathlib import Path
from typing import cast

import pytest

from tests.orders.an_order import an_order
from watcher.service.life.cases import OrderCase, RunCase, known, run_of
from watcher.work.gang_model import RunJob, RunMade
from watcher.work.job import Job


class Named:
    """As much of a job as is asked for: its name."""

    def __init__(self, name: str) -> None:
        self.name = name


@pytest.fixture
def case() -> RunCase:
    """A run of three orders, one of which saves nothing."""
    names = ("apple", "birch", "cedar")
    orders = [an_order(name, number) for number, name in enumerate(names, 7)]
    jobs = tuple(cast(Job, Named(name)) for name in names)
    numbers = {name: number for number, name in enumerate(names, 7)}
    job = RunJob(jobs=jobs, numbers=numbers, run="run-1", building=Path("b"), date="2026-11-30")
    return replace(run_of(orders), job=job)


def test_a_case_made_of_orders_has_their_numbers(case: RunCase):
    assert case.numbers == (7, 8, 9)
    assert [order.name for order in case.orders] == ["apple", "birch", "cedar"]


def test_all_orders_share_until_a_worker_says_which_do(case: RunCase):
    assert case.sharing == case.orders
    made = replace(case, made=RunMade(words={"apple": "4 cards", "cedar": "4 cards"}))
    assert [order.number for order in made.sharing] == [7, 9]
    assert made.orders == case.orders


def test_what_is_delivered_are_the_orders_that_share(case: RunCase):
    folder = replace(case, made=RunMade(words={"birch": "4 cards"})).folder()
    assert (folder.building, folder.run, folder.numbers) == (Path("b"), "run-1", {"birch": 8})


def test_an_order_is_found_by_the_name_that_its_folder_has(case: RunCase):
    order, job = case.order("cedar")
    assert (order.number, job.name) == (9, "cedar")


def test_what_must_be_there_and_is_not_is_a_fault():
    assert known(0) == 0
    with pytest.raises(AssertionError):
        _ = OrderCase(number=1).order
