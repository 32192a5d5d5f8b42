"""Which orders share sheets: only those for which that saves paper."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.layout.gang.choice import choose_gang
from watcher.layout.gang.plan import plan_gang

EXAMPLES = 300 if LONG else 8


def _slow_choice(wanted, up, forms, spare=0):
    """Fewest sheets, then fewest orders ganged, by trying every set of orders on every number of forms."""
    single = [-(-cards // up) + spare for cards in wanted]
    best = (sum(single), 0)
    for number in range(2, len(wanted) + 1):
        for ganged in itertools.combinations(range(len(wanted)), number):
            rest = sum(sheets for order, sheets in enumerate(single) if order not in ganged)
            for most in range(1, forms + 1) if spare else (forms,):
                plan = plan_gang([wanted[order] for order in ganged], up, most)
                if plan:
                    best = min(best, (plan.sheets + spare * len(plan.forms) + rest, number))
    return best


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(st.integers(1, 90), min_size=1, max_size=6), st.integers(2, 10))
def test_one_form_saves_as_much_as_any_set_of_orders(wanted, up):
    choice = choose_gang(wanted, up, 1)
    assert (choice.sheets, len(choice.ganged)) == _slow_choice(wanted, up, 1)
    assert choice.is_proven


@settings(max_examples=max(5, EXAMPLES // 4), deadline=None)
@given(st.lists(st.integers(1, 60), min_size=1, max_size=4), st.integers(2, 8))
def test_two_forms_save_as_much_as_any_set_of_orders(wanted, up):
    choice = choose_gang(wanted, up, 2)
    assert choice.is_proven
    assert (choice.sheets, len(choice.ganged)) == _slow_choice(wanted, up, 2)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(st.integers(1, 200), min_size=1, max_size=9), st.integers(1, 12))
def test_a_choice_never_takes_more_sheets_than_single_orders(wanted, up):
    choice = choose_gang(wanted, up, 1)
    assert choice.saved >= 0
    assert (choice.plan is None) is (choice.ganged == ())
    assert sorted((*choice.ganged, *choice.singly)) == list(range(len(wanted)))
    assert len(choice.ganged) != 1


def test_two_single_cards_share_one_sheet():
    choice = choose_gang([1, 1], 2, 1)
    assert (choice.ganged, choice.sheets) == ((0, 1), 1)


def test_an_order_of_full_sheets_is_made_singly():
    """100 and 100 share 25 sheets; 200 at 8 on a sheet fill 25 sheets of their own."""
    choice = choose_gang([100, 100, 200], 8, 1)
    assert choice.ganged == (0, 1)
    assert choice.singly == (2,)
    assert (choice.sheets, choice.saved) == (50, 1)
    assert round(choice.saved_percent, 2) == 1.96


def test_a_big_order_does_not_drag_small_ones_along():
    """Case G04 of tests/outside/gang.csv: on one form 1000, 30 and 20 take 125 sheets; made singly 100 + 3 + 2."""
    choice = choose_gang([1000, 30, 20], 10, 1)
    assert choice.ganged == ()
    assert choice.plan is None
    assert choice.saved == 0


def test_two_forms_can_pay_where_no_two_orders_alone_do():
    """Taking in one order at a time from none finds nothing here."""
    choice = choose_gang([2, 7, 11, 4], 4, 2)
    assert (choice.ganged, choice.sheets) == ((0, 1, 2), 6)


def test_full_sheets_leave_nothing_to_save():
    choice = choose_gang([80, 160, 40], 8, 3)
    assert (choice.ganged, choice.sheets) == ((), 35)
    assert choice.is_proven


def test_spare_sheets_are_saved_too():
    """50 and 50 on 2 places: 25 + 1 and 25 + 1 made singly; together 50 sheets with one spare."""
    choice = choose_gang([50, 50], 2, 1, spare_sheets=1)
    assert (choice.ganged, choice.single_sheets, choice.sheets, choice.saved) == ((0, 1), (26, 26), 51, 1)
    assert choice.is_proven


def test_another_form_must_be_worth_its_spare_sheets():
    """90, 10 and 10 on 10 places: two forms take 11 sheets, one form (8 + 1 + 1 places) 12."""
    assert [plan_gang([90, 10, 10], 10, forms).sheets for forms in (1, 2)] == [12, 11]
    choice = choose_gang([90, 10, 10], 10, 2, spare_sheets=4)
    assert [form.sheets for form in choice.plan.forms] == [12]
    assert (choice.sheets, sum(choice.single_sheets)) == (16, 23)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(st.integers(1, 90), min_size=1, max_size=5), st.integers(2, 9), st.integers(1, 3), st.integers(1, 2))
def test_with_spare_sheets_nothing_is_lost_by_ganging(wanted, up, spare, forms):
    choice = choose_gang(wanted, up, forms, spare_sheets=spare)
    assert choice.sheets <= sum(-(-cards // up) + spare for cards in wanted)
    assert choice.lower_bound <= choice.sheets


@pytest.mark.parametrize(
    ("wanted", "up", "spare", "best"),
    [
        ([8, 1], 2, 1, (7, 0)),  # 5 + 2 singly; a run of two forms prints 5 and two spare sheets: nothing is won
        ([1, 10], 2, 3, (12, 0)),
        ([10, 1], 3, 2, (7, 2)),  # one form of 5 sheets and its two; a second form would cost two more
        ([5, 2], 3, 3, (6, 2)),
        ([5, 5], 4, 2, (5, 2)),
        ([9, 4, 4], 3, 1, None),
        ([12, 7, 2], 4, 2, None),
    ],
)
def test_each_form_of_a_run_costs_its_spare_sheets(wanted, up, spare, best):
    """Against every set of orders on one form and on two; the sheets that are said are those that are printed."""
    choice = choose_gang(wanted, up, 2, spare_sheets=spare)
    found = (choice.sheets, len(choice.ganged))
    assert found == _slow_choice(wanted, up, 2, spare)
    assert best in (found, None)
    run = choice.plan.sheets + spare * len(choice.plan.forms) if choice.plan else 0
    assert choice.sheets == run + sum(-(-wanted[order] // up) + spare for order in choice.singly)


def test_with_spare_sheets_and_several_forms_nothing_is_called_proven():
    """The search counts every form that is allowed, so a better choice may hide where fewer are used."""
    assert not choose_gang([5, 2], 3, 2, spare_sheets=3).is_proven


def test_nothing_waits():
    choice = choose_gang([], 8, 1)
    assert (choice.ganged, choice.sheets, choice.saved_percent) == ((), 0, 0.0)


def test_more_orders_than_places_leave_some_out():
    choice = choose_gang([1] * 11, 4, 2)
    assert len(choice.ganged) == 8
    assert choice.sheets == 2 + 3
