"""What a gang run says of itself."""

from watcher.layout.gang.model import GangChoice, GangForm, GangPlan


def plan(lower_bound=15):
    """100 and 40 cards on 10 places: ten sheets with 8 and 1, five with 4 and 6."""
    forms = (GangForm(slots=(8, 1), sheets=10), GangForm(slots=(4, 6), sheets=5))
    return GangPlan(wanted=(100, 40), up=10, forms=forms, lower_bound=lower_bound, overs_are_least=True)


def test_cards_printed_are_places_times_sheets_over_all_forms():
    assert plan().sheets == 15
    assert plan().printed == (100, 40)
    assert plan().overs == 0


def test_a_place_left_empty_is_blank_on_every_sheet_of_its_form():
    assert plan().blanks == 10


def test_each_order_on_each_form_is_a_stack():
    assert plan().stacks == 4


def test_a_plan_is_proven_when_nothing_is_left_to_its_bound():
    assert plan().is_proven
    assert (plan(13).gap, plan(13).is_proven) == (2, False)


def test_spare_sheets_are_counted_for_each_form_and_for_each_single_order():
    """Orders 0 and 2 share 15 sheets in two forms with a spare sheet each; order 1 takes 7, its spare one included."""
    choice = GangChoice(ganged=(0, 2), plan=plan(), single_sheets=(11, 7, 10), lower_bound=20, spare_sheets=1)
    assert choice.singly == (1,)
    assert choice.sheets == 15 + 2 + 7
    assert choice.saved == 28 - 24
    assert round(choice.saved_percent, 1) == 14.3
    assert not choice.is_proven


def test_without_a_run_every_order_is_made_singly():
    choice = GangChoice(ganged=(), plan=None, single_sheets=(3, 4), lower_bound=7)
    assert (choice.sheets, choice.saved, choice.is_proven) == (7, 0, True)
