"""Designs on sheets. Common practice, no source; the least number of sheets is counted out here."""

from collections import Counter
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.layout.sequence import DesignForm, sequence_designs
from watcher.terms import Sequencing

ACROSS, STACKS = Sequencing.ACROSS, Sequencing.STACKS
CASES = {"designs": st.integers(1, 60), "cards": st.integers(1, 40), "up": st.integers(1, 26)}


def _forms(designs: int, cards: int, up: int, sequencing: Sequencing) -> tuple[DesignForm, ...]:
    return sequence_designs(designs=designs, cards=cards, up=up, sequencing=sequencing)


def _printed(forms: tuple[DesignForm, ...]) -> Counter[int]:
    made: Counter[int] = Counter()
    for form in forms:
        for design in form.designs:
            if design is not None:
                made[design] += form.sheets
    return made


def _stack(forms: tuple[DesignForm, ...], place: int) -> list[int]:
    """What lies in one place's stack after the cut, from the top."""
    down = [form.designs[place] for form in forms for _ in range(form.sheets)]
    return [design for design in down if design is not None]


@given(**CASES, sequencing=st.sampled_from(Sequencing))
def test_no_sheet_more_than_can_be_is_used(designs, cards, up, sequencing):
    """Each sheet holds `up` cards at most, so `designs * cards` of them need `ceil(designs * cards / up)` at least."""
    forms = _forms(designs, cards, up, sequencing)
    assert sum(form.sheets for form in forms) == ceil(designs * cards / up)
    assert all(len(form.designs) == up and form.sheets >= 1 for form in forms)


@given(**CASES, sequencing=st.sampled_from(Sequencing))
def test_every_design_is_printed_as_often_as_is_wanted(designs, cards, up, sequencing):
    made = _printed(_forms(designs, cards, up, sequencing))
    assert made.keys() == set(range(designs))
    assert min(made.values()) >= cards
    assert len(set(made.values())) == 1 or min(made.values()) == cards


@given(**CASES, sequencing=st.sampled_from(Sequencing))
def test_equal_sheets_are_one_form(designs, cards, up, sequencing):
    lying = [form.designs for form in _forms(designs, cards, up, sequencing)]
    assert len(set(lying)) == len(lying)


@given(**CASES)
def test_stacks_put_on_each_other_in_the_order_of_their_places_lie_in_order(designs, cards, up):
    forms = _forms(designs, cards, up, STACKS)
    pile = [design for place in range(up) for design in _stack(forms, place)]
    assert pile == [design for design in range(designs) for _ in range(cards)]


@given(**CASES)
def test_across_whole_sheets_of_different_designs_are_as_few_as_can_be(designs, cards, up):
    forms = _forms(designs, cards, up, ACROSS)
    whole = forms[: designs // up]
    assert [form.designs for form in whole] == [tuple(range(at, at + up)) for at in range(0, designs - up + 1, up)]
    assert {form.sheets for form in whole} <= {cards}


def test_24_place_cards_8_up_are_three_sheets_in_a_row():
    assert _forms(24, 1, 8, ACROSS) == tuple(
        DesignForm(designs=tuple(range(at, at + 8)), sheets=1) for at in (0, 8, 16)
    )


def test_stacks_of_24_on_8_up_run_down_through_the_sheets():
    """Worked by hand: with three sheets place 1 has 1, 2, 3 and place 2 has 4, 5, 6 of the designs."""
    assert [form.designs for form in _forms(24, 1, 8, STACKS)] == [tuple(range(sheet, 24, 3)) for sheet in range(3)]


def test_few_designs_share_one_sheet_each_equally_often():
    assert _forms(3, 50, 9, ACROSS) == (DesignForm(designs=(0, 1, 2) * 3, sheets=17),)


def test_no_place_is_filled_that_nothing_is_wanted_for():
    assert _forms(5, 1, 8, ACROSS) == (DesignForm(designs=(0, 1, 2, 3, 4, None, None, None), sheets=1),)


def test_what_fits_on_no_one_form_without_a_sheet_more_goes_round_and_round():
    """Worked by hand: 7 x 50 cards on 8 up are 44 sheets; one form with each once would take 50."""
    forms = _forms(7, 50, 8, ACROSS)
    assert forms[0].designs == (0, 1, 2, 3, 4, 5, 6, 0)
    assert forms[1].designs == (1, 2, 3, 4, 5, 6, 0, 1)
    assert sum(form.sheets for form in forms) == 44
    assert len(forms) == 8
    assert forms[-1].designs.count(None) == 2  # 44 x 8 - 350


def test_a_million_cards_are_told_at_once():
    assert sum(form.sheets for form in _forms(500, 1_000_000, 24, STACKS)) == ceil(500_000_000 / 24)
    assert sum(form.sheets for form in _forms(7, 1_000_000, 24, ACROSS)) == ceil(7_000_000 / 24)


@pytest.mark.parametrize("wrong", [(0, 1, 1), (1, 0, 1), (1, 1, 0)])
def test_nothing_of_something_is_refused(wrong):
    with pytest.raises(ValueError, match="must be 1 or more"):
        _forms(*wrong, ACROSS)
