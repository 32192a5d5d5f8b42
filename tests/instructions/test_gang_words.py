import pytest

from watcher.instructions.gang_words import gap_line, saving_line, sorting
from watcher.layout.gang.choice import choose_gang
from watcher.layout.gang.places import OrderPlaces


@pytest.mark.parametrize(
    ("places", "apart_after", "pieces", "words"),
    [
        ((1, 2), 0, 1, "the whole sheet"),
        ((4,), 7, 1, "apart from the others after cut 7"),
        ((1, 2, 3), 5, 1, "<b>in one piece</b> after cut 5"),
        ((1, 2, 3), 5, 2, "in 2 pieces after cut 5: keep them together"),
        ((1, 2, 3), 9, 3, "card by card after cut 9: lay all 3 on one pile"),
    ],
)
def test_sorting_is_said_in_words(places, apart_after, pieces, words):
    assert words in sorting(OrderPlaces(order=0, places=places, apart_after=apart_after, pieces=pieces))


def test_the_saving_is_said_in_sheets_and_percent():
    """100 and 100 share 25 sheets instead of 13 + 13; 200 keep their 25: 50 instead of 51."""
    words = saving_line(choose_gang([100, 100, 200], 8, 1))
    assert words == "2 of 3 orders share sheets: 50 sheets instead of 51, 1 sheet (2.0 %) saved."


def test_nothing_saved_is_said():
    assert "saves nothing" in saving_line(choose_gang([1000, 30, 20], 10, 1))


def test_all_orders_in_the_run_are_said():
    assert saving_line(choose_gang([4, 4], 8, 1)).startswith("All 2 orders share sheets: 1 sheet instead of 2")


def test_what_is_not_proven_is_said_with_its_gap():
    assert gap_line(0) == ""
    assert gap_line(2).endswith("fewer, by at most 2 sheets.")
