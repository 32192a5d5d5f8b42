"""The ticket of an order that shares its sheets with others."""

from tests.archive.decided_order import PLACE, read
from watcher.archive.order_ticket import RunPart


def _part(layout, own, layouts=(4, 1)) -> RunPart:
    """Places by number, each on a layout."""
    places = tuple((number, layout.places[place - 1]) for number, place in own)
    return RunPart(run="run-2026-11-25", orders=("a", "b"), layouts=layouts, places=places, printed=9)


def test_an_order_that_shares_its_sheets_names_the_run_and_its_own_places(decide):
    """`run` and `run_sheets` are there; with several layouts each place says on which it lies."""
    layout = decide().layout
    found = read(decide(run=_part(layout, [(1, 1), (1, 2), (2, 1)])))
    assert (found["run"], found["run_sheets"], found["run_orders"]) == ("run-2026-11-25", 5, ["a", "b"])
    assert (found["up"], found["sheets"], found["printed"], found["run_layouts"]) == (2, 5, 9, [4, 1])
    assert [(place["layout"], place["number"]) for place in found["places"]] == [(1, 1), (1, 2), (2, 1)]


def test_a_run_of_one_layout_does_not_number_it(decide):
    found = read(decide(run=_part(decide().layout, [(1, 2)], layouts=(7,))))
    assert (found["up"], found["sheets"], found["run_sheets"]) == (1, 7, 7)
    assert "run_layouts" not in found
    assert [list(place) for place in found["places"]] == [PLACE]


def test_sheets_on_which_the_order_does_not_lie_are_not_its_own(decide):
    found = read(decide(run=_part(decide().layout, [(2, 1)])))
    assert (found["sheets"], found["run_sheets"]) == (1, 5)
