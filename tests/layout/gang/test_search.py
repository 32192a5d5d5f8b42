"""The search over run lengths."""

from watcher.layout.gang.search import RunSearch, found_of
from watcher.layout.gang.slots import WorkLimit


def test_the_published_total_is_found_and_one_sheet_less_is_not():
    """CSPLib prob002 cat food, two templates: 418 (quantities in thousands)."""
    search = RunSearch([250, 255, 260, 500, 500, 800, 1100], 9, 2)
    assert search.at_most(418, WorkLimit(None)).sheets == 418
    assert search.at_most(417, WorkLimit(None)) is None


def test_of_as_many_sheets_the_plan_with_the_fewest_surplus_cards_is_taken():
    search = RunSearch([1000, 30, 20], 10, 2)
    found = search.at_most(105, WorkLimit(None))
    best = search.least_overs(found, WorkLimit(None))
    assert best.sheets == found.sheets
    assert best.filling.overs <= found.filling.overs
    assert best.filling.overs == 0


def test_a_search_without_work_left_finds_nothing():
    assert RunSearch([1000, 30, 20], 10, 2).at_most(105, WorkLimit(0)) is None


def test_forms_come_longest_first_and_those_that_are_not_printed_are_left_out():
    found = found_of([10, 20], (5, 0, 20), [(2, 1, 0), (0, 3, 1)])
    assert found.runs == (20, 5)
    assert found.filling.slots == ((0, 2), (1, 0))
    assert found.filling.overs == 0
    assert found.filling.stacks == 2
