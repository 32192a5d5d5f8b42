"""Gang runs: places and run lengths, against a plain search over everything."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.layout.gang.plan import least_of_one_form, plan_gang, sheets_within
from watcher.layout.gang.slots import smallest_ways

EXAMPLES = 400 if LONG else 7
A_LITTLE = 2_000  # work


def _slow_plan(wanted, up, forms):
    """Fewest sheets, then fewest cards too many, by trying every number of places for every order on every form."""
    rows = [row for row in itertools.product(range(up + 1), repeat=len(wanted)) if 0 < sum(row) <= up]
    best = (10**9, 0)
    for chosen in itertools.combinations_with_replacement(rows, forms):
        for runs in itertools.product(range(max(wanted) + 1), repeat=forms):
            by_form = [[slots * run for slots in row] for row, run in zip(chosen, runs, strict=True)]
            printed = [sum(cards) for cards in zip(*by_form, strict=True)]
            if all(cards >= need for cards, need in zip(printed, wanted, strict=True)):
                best = min(best, (sum(runs), sum(printed) - sum(wanted)))
    return best


_wanted = st.lists(st.integers(1, 9), min_size=1, max_size=3)


@settings(max_examples=EXAMPLES, deadline=None)
@given(_wanted, st.integers(1, 5))
def test_one_form_is_the_best_that_a_plain_search_finds(wanted, up):
    plan = plan_gang(wanted, up, 1)
    assert (plan is None) is (len(wanted) > up)
    if plan:
        assert (plan.sheets, plan.overs) == _slow_plan(wanted, up, 1)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(st.integers(1, 8), min_size=1, max_size=2), st.integers(1, 3))
def test_two_forms_are_the_best_that_a_plain_search_finds(wanted, up):
    plan = plan_gang(wanted, up, 2)
    assert plan.is_proven
    assert plan.overs_are_least
    assert (plan.sheets, plan.overs) == _slow_plan(wanted, up, 2)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(st.integers(1, 300), min_size=1, max_size=8), st.integers(1, 12), st.integers(1, 3))
def test_every_plan_holds_together(wanted, up, forms):
    """Cards enough, places enough, and sums that agree."""
    plan = plan_gang(wanted, up, forms, most_work=A_LITTLE)
    if plan is None:
        assert len(wanted) > up * forms
        return
    assert all(printed >= cards for printed, cards in zip(plan.printed, wanted, strict=True))
    assert all(sum(form.slots) <= up and form.sheets >= 1 for form in plan.forms)
    assert len(plan.forms) <= forms
    assert sum(wanted) + plan.overs + plan.blanks == plan.sheets * up
    assert -(-sum(wanted) // up) <= plan.lower_bound <= plan.sheets


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(st.integers(1, 200), min_size=2, max_size=5), st.integers(5, 9), st.randoms())
def test_the_order_in_which_orders_come_changes_no_count(wanted, up, pick):
    shuffled = pick.sample(wanted, len(wanted))
    one, other = plan_gang(wanted, up, 2), plan_gang(shuffled, up, 2)
    assert (one.sheets, one.overs, one.stacks) == (other.sheets, other.overs, other.stacks)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(st.integers(1, 99), min_size=1, max_size=5), st.integers(5, 9))
def test_another_form_allowed_never_costs_a_sheet(wanted, up):
    sheets = [plan_gang(wanted, up, forms, most_work=A_LITTLE).sheets for forms in (1, 2, 3)]
    assert sheets == sorted(sheets, reverse=True)


def test_equal_counts_take_one_form():
    assert [form.sheets for form in plan_gang([100, 100, 200], 8, 2).forms] == [50]


def test_the_longest_run_comes_first():
    assert [form.sheets for form in plan_gang([1000, 30, 20], 10, 2).forms] == [100, 5]


def test_more_orders_than_places_cannot_be_ganged():
    assert plan_gang([5] * 9, 4, 2) is None
    assert plan_gang([5] * 8, 4, 2).sheets == 10


def test_work_that_ends_early_says_how_far_it_may_be_from_the_best():
    plan = plan_gang([250, 255, 260, 500, 500, 800, 1100], 9, 3, most_work=0)
    assert plan.sheets == 418  # what two forms take
    assert plan.lower_bound == 408
    assert plan.gap == 10
    assert not plan.is_proven
    assert not plan.overs_are_least


def test_more_forms_than_can_be_searched_still_give_a_plan():
    plan = plan_gang([10] * 60, 12, 5)
    assert plan.sheets == 50


def test_the_same_question_has_the_same_answer():
    asked = ([123, 77, 210, 64, 305], 12, 3)
    assert plan_gang(*asked, most_work=A_LITTLE) == plan_gang(*asked, most_work=A_LITTLE)


@pytest.mark.parametrize(("wanted", "up", "forms"), [([], 8, 1), ([0], 8, 1), ([5], 0, 1), ([5], 8, 0)])
def test_nothing_cannot_be_planned(wanted, up, forms):
    with pytest.raises(ValueError, match="each must be 1 or more"):
        plan_gang(wanted, up, forms)


def test_one_form_is_printed_as_often_as_its_shortest_order_asks():
    assert least_of_one_form([7, 7, 7], 3) == 7
    assert least_of_one_form([7, 7, 7], 6) == 4


def test_a_total_that_is_too_low_finds_nothing():
    assert sheets_within([1000, 30, 20], 10, 2, 104, most_work=A_LITTLE) is None
    assert sheets_within([1000, 30, 20], 10, 2, 105, most_work=A_LITTLE) == 105
    assert sheets_within([1000, 30, 20], 10, 1, 124, most_work=A_LITTLE) is None


def test_from_the_smallest_ways_no_place_can_be_taken():
    assert set(smallest_ways(100, (60, 25), 8)) == {(0, 4), (1, 2), (2, 0)}
