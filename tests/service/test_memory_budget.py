"""Orders share the memory of a small computer: what has no room beside the others waits, and is then made."""

from pathlib import Path

import pytest

from tests.orders.an_order import an_order
from watcher.orders.model import Order
from watcher.service import memory_budget
from watcher.service.memory_budget import FOR_OTHERS_BYTES, PATIENCE_S, MemoryBudget

MB = 1_000_000
NEEDS = {1: 600, 2: 600, 3: 80, 4: 900}  # MB, by number
LARGE, LARGE_TOO, SMALL, LARGER_THAN_ALL = (an_order(f"order{number}", number) for number in NEEDS)


class Clock:
    """A steady clock that the test sets."""

    now = 100.0

    def monotonic(self) -> float:
        return self.now


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    monkeypatch.setattr(memory_budget, "time", clock := Clock())
    return clock


@pytest.fixture
def budget(monkeypatch: pytest.MonkeyPatch, clock: Clock, tmp_path: Path) -> MemoryBudget:
    """Of a computer with 700 MB for orders."""

    def need(order: Order, _folder: Path, _archive: Path) -> int:
        return NEEDS[order.number] * MB

    monkeypatch.setattr(memory_budget, "memory_need", need)
    return MemoryBudget(FOR_OTHERS_BYTES + 700 * MB, tmp_path)


def test_two_large_orders_are_made_in_turn(budget: MemoryBudget):
    assert budget.waiting([LARGE, LARGE_TOO], []) == set()
    assert budget.waiting([LARGE_TOO], [LARGE]) == {2}
    assert budget.waiting([LARGE_TOO], []) == set()


def test_a_small_order_has_room_beside_a_large_one(budget: MemoryBudget):
    assert budget.waiting([LARGE_TOO, SMALL], [LARGE]) == {2}
    assert budget.waiting([LARGE], [SMALL]) == set()


def test_what_needs_more_than_there_is_is_made_alone(budget: MemoryBudget):
    assert budget.waiting([LARGER_THAN_ALL], [SMALL]) == {4}
    assert budget.waiting([LARGER_THAN_ALL], []) == set()


def test_small_orders_do_not_go_before_a_large_one_for_ever(budget: MemoryBudget, clock: Clock):
    assert budget.waiting([LARGE_TOO, SMALL], [LARGE]) == {2}
    clock.now += PATIENCE_S
    assert budget.waiting([LARGE_TOO, SMALL], [LARGE]) == {2, 3}
    assert budget.waiting([LARGE_TOO, SMALL], []) == set()


def test_a_run_needs_room_for_all_of_its_orders(budget: MemoryBudget):
    assert budget.has_room([SMALL], [LARGE])
    assert not budget.has_room([SMALL, SMALL], [LARGE])
    assert budget.has_room([LARGE, LARGE_TOO], [])


def test_where_the_memory_is_not_known_nothing_waits(tmp_path: Path):
    assert MemoryBudget(None, tmp_path).waiting([LARGE_TOO], [LARGE]) == set()
