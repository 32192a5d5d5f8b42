"""Numbers of places for known run lengths."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watcher.layout.gang.slots import SlotTable, WeightBound, WorkLimit, smallest_ways


def _fillings(wanted, runs, up):
    """Every way to give out places on two forms, by trying all of them."""
    ways = list(itertools.product(range(up + 1), repeat=2))
    for chosen in itertools.product(ways, repeat=len(wanted)):
        printed = [a * runs[0] + b * runs[1] for a, b in chosen]
        enough = all(cards >= need for cards, need in zip(printed, wanted, strict=True))
        if enough and all(sum(way[form] for way in chosen) <= up for form in (0, 1)):
            yield sum(printed) - sum(wanted)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(1, 20), min_size=1, max_size=2), st.integers(1, 9), st.integers(1, 9), st.integers(1, 4))
def test_the_table_finds_the_fewest_surplus_cards(wanted, one, other, up):
    runs = max(one, other), min(one, other)
    table = SlotTable(wanted, runs, up, WorkLimit(None))
    overs = list(_fillings(wanted, runs, up))
    assert table.fits is bool(overs)
    if overs:
        assert table.best().overs == min(overs)
        assert table.least_printed(runs) == sum(wanted) + min(overs)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(1, 20), min_size=1, max_size=2), st.integers(1, 9), st.integers(1, 9), st.integers(1, 4))
def test_the_weights_exclude_only_runs_that_leave_too_few_places(wanted, one, other, up):
    runs = max(one, other), min(one, other)
    if WeightBound(wanted, 2, up).excludes(runs, WorkLimit(None)):
        assert not SlotTable(wanted, runs, up, WorkLimit(None)).fits


def test_runs_that_are_far_too_short_are_excluded():
    assert WeightBound([100, 100], 2, 4).excludes((10, 10), WorkLimit(None))


def test_a_way_is_smallest_when_it_has_no_place_to_spare():
    ways = smallest_ways(10, (4, 3), 4)
    assert {(1, 2), (2, 1)} <= set(ways)
    assert (2, 2) not in ways


@pytest.mark.parametrize(("done", "is_over"), [(99, False), (100, True)])
def test_work_is_over_when_the_limit_is_reached(done, is_over):
    work = WorkLimit(100)
    work.done = done
    assert work.is_over is is_over


def test_a_part_of_the_work_is_a_part_of_what_is_left():
    work = WorkLimit(100)
    work.done = 40
    assert work.part(6).most == 10
    assert WorkLimit(None).part(6).most is None
