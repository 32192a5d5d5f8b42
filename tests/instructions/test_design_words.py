"""Which card lies where, in sentences. Common practice, no source for how stacks are put together."""

import re

import pytest

from watcher.instructions.design_words import where_designs_lie
from watcher.layout.sequence import sequence_designs
from watcher.orders.model import DesignPlaces
from watcher.terms import Sequencing


def _lines(
    designs: int, cards: int, up: int, sequencing: Sequencing = Sequencing.ACROSS, only=(), most: int | None = 100
) -> list[str]:
    forms = sequence_designs(designs=designs, cards=cards, up=up, sequencing=sequencing)
    numbers = tuple(range(1, designs + 1))
    lying = tuple((tuple(None if at is None else numbers[at] for at in form.designs), form.sheets) for form in forms)
    places = DesignPlaces(numbers=numbers, sequence=sequencing, forms=lying, only=only)
    return [re.sub("</?b>", "", line) for line in where_designs_lie(places, most)]


def test_across_each_sheet_tells_its_designs():
    assert _lines(24, 1, 8) == [
        "Sheet 1: places 1 to 8: designs 1 to 8",
        "Sheet 2: places 1 to 8: designs 9 to 16",
        "Sheet 3: places 1 to 8: designs 17 to 24",
        "The places are numbered in the drawing of the sheet.",
    ]


def test_places_that_stay_empty_are_said():
    assert _lines(9, 1, 8)[1] == "Sheet 2: place 1: design 9; places 2 to 8: left empty"


def test_designs_that_come_again_are_told_run_by_run():
    assert _lines(3, 50, 9)[0] == (
        "Sheets 1 to 17: places 1 to 3: designs 1 to 3; places 4 to 6: designs 1 to 3; places 7 to 9: designs 1 to 3"
    )


def test_of_many_sheets_the_first_and_the_last_are_told():
    lines = _lines(200, 1, 8)
    assert len(lines) == 9
    assert lines[6].startswith("… and so on")
    assert lines[7] == "Sheet 25: places 1 to 8: designs 193 to 200"


def test_stacks_tell_what_lies_in_each_and_how_they_are_put_together():
    stacks, how = _lines(24, 1, 8, Sequencing.STACKS)
    assert stacks.startswith("Stacks, from top to bottom: place 1: designs 1 to 3; place 2: designs 4 to 6; ")
    assert "Keep the 3 sheets in their order, sheet 1 on top" in how
    assert "the stack of place 1 on top of that of place 2" in how
    assert "the cards lie in order, 1 to 24" in how


def test_what_was_asked_for_alone_is_said():
    assert _lines(1, 1, 8, only=(1,))[0] == "Only design 1 of the order."


@pytest.mark.parametrize(
    ("most", "said"),
    [
        (8, "cut the pile as one."),
        (3, "cut them in 3 piles, from the top: sheets 1 to 3, 4 to 6, 7 to 8."),
        (1, "cut them one at a time, from the top. When a sheet is cut,"),
        (None, "cut them as one pile; or, where they are too many, one pile after the other from the top."),
    ],
)
def test_stacks_of_several_piles_keep_their_order(most: int | None, said: str):
    """To cut the pile as one cannot be followed where the cutter takes fewer sheets at a time."""
    _, how = _lines(64, 1, 8, Sequencing.STACKS, most=most)
    assert said in how
    assert ("those of the next" in how) == (most != 8)


def test_up_to_eight_kinds_of_sheet_are_all_told():
    """64 designs are 8 sheets of 8, 72 are 9: of these six, a line for those between, and the last."""
    assert [line[:8] for line in _lines(64, 1, 8)][:8] == [f"Sheet {number}:" for number in range(1, 9)]
    assert [line.partition(":")[0] for line in _lines(72, 1, 8)][:8] == [
        *(f"Sheet {number}" for number in range(1, 7)),
        "… and so on, design after design …",
        "Sheet 9",
    ]


def test_of_many_runs_on_a_sheet_four_and_twenty_are_told():
    """Designs 1 and 3 in turn: each place is a run of its own."""
    turns = [tuple(1 + 2 * (place % 2) for place in range(count)) for count in (24, 25)]
    told = [
        where_designs_lie(DesignPlaces(numbers=(1, 3), sequence=Sequencing.ACROSS, forms=((one, 1),), only=()))[0]
        for one in turns
    ]
    assert told[0].endswith("; place 24: design 3")
    assert told[1].endswith("; place 24: design 3; …")


def test_several_designs_that_were_asked_for_alone_are_said():
    assert _lines(3, 1, 8, only=(1, 2, 5))[0].startswith("Only designs 1")


@pytest.mark.parametrize(
    ("sheets", "said"),
    [
        (6, "in 6 piles, from the top: sheets 1 to 2, 3 to 4, 5 to 6, 7 to 8, 9 to 10, 11 to 12."),
        (7, "in 7 piles, from the top: sheets 1 to 2, 3 to 4, 5 to 6, 7 to 8, 9 to 10, …, 13 to 14."),
    ],
)
def test_of_many_piles_the_first_and_the_last_are_told(sheets: int, said: str):
    assert said in _lines(8 * 2 * sheets, 1, 8, Sequencing.STACKS, most=2)[1]


def test_a_place_that_stays_empty_has_no_stack():
    places = DesignPlaces(numbers=(7, 9), sequence=Sequencing.STACKS, forms=(((7, None), 1), ((9, None), 1)), only=())
    stacks, how = where_designs_lie(places, 100)
    assert stacks == "<b>Stacks, from top to bottom:</b> place 1: designs 7 and 9"
    assert "Keep the 2 sheets in their order" in how
    assert "the cards lie in order, 7 to 9." in how
