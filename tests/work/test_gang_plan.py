"""What a run comes to: settings and quantities to places and sheets."""

from pathlib import Path

import pytest

from watcher.orders.wishes import Wishes, overs_from
from watcher.settings.load import load_settings
from watcher.settings.to_toml import SheetSetup
from watcher.work.gang_plan import Wanted, plan_run

TEXT = """
[cards.tag]
trim = "85 x 55 mm"
sides = 1
sheet = "a4"
[sheets.a4]
size = "A4"
unprintable = "4 mm"
mixed_turns = false
gang = true
printer = "office"
[printers.office]
"""


@pytest.fixture
def setup(tmp_path: Path) -> SheetSetup:
    """Ten tags on an A4 sheet."""
    (tmp_path / "settings.toml").write_text(TEXT)
    settings = load_settings(tmp_path / "settings.toml")
    sheet = settings.sheets["a4"]
    return SheetSetup(
        card=settings.cards["tag"],
        sheet=sheet,
        printer=settings.printer_for(sheet),
        cutter=settings.cutter_for(sheet),
    )


def wanted(*cards: int, overs: str = "0") -> list[Wanted]:
    wishes = [Wishes(quantity=one, overs=overs_from(overs)) for one in cards]
    return [Wanted(order=f"order{number}", wishes=one) for number, one in enumerate(wishes)]


def test_places_belong_to_one_order_each_and_give_it_its_cards(setup: SheetSetup) -> None:
    """By hand: one sheet holds 10, so 12 + 4 + 4 cards are two sheets with 6, 2 and 2 places."""
    plan = plan_run(wanted(12, 4, 4), setup)
    parts = [plan.part_of(index, "run") for index in range(3)]
    assert plan.layout.up == 10
    assert plan.sheets == (2,)
    assert [part.up for part in parts] == [6, 2, 2]
    assert [part.printed for part in parts] == [12, 4, 4]
    numbers = [place.number for part in parts for _, place in part.places]
    assert sorted(numbers) == list(range(1, 11))


def test_what_it_saves_is_told_against_each_made_singly(setup: SheetSetup) -> None:
    plan = plan_run(wanted(12, 4, 4), setup)
    assert (plan.single_sheets, plan.saved) == (4, 2)


def test_nothing_is_shared_where_that_saves_no_sheet(setup: SheetSetup) -> None:
    assert plan_run(wanted(10, 20), setup) is None
    assert plan_run(wanted(5), setup) is None


def test_overs_in_cards_count_before_the_sheets(setup: SheetSetup) -> None:
    plan = plan_run(wanted(4, 4, overs="10 %"), setup)
    assert plan.plan.wanted == (5, 5)
    assert plan.sheets == (1,)


def test_a_spare_sheet_is_printed_once_for_all_that_share(setup: SheetSetup) -> None:
    """Singly two sheets with a spare each; together one and one spare."""
    plan = plan_run(wanted(5, 5, overs="1 sheet"), setup)
    assert plan.sheets == (2,)
    assert (plan.single_sheets, plan.saved) == (4, 2)
