"""From settings to layouts and counts: what orders that share a sheet come to."""

import pytest

from watcher.orders.wishes import Wishes, overs_from
from watcher.settings.cutter import GUILLOTINE
from watcher.settings.load import load_settings
from watcher.settings.to_toml import SheetSetup
from watcher.work.arrange import choose_gang_orders
from watcher.work.gang_kind import gang_key


@pytest.fixture
def shop(print_folder):
    """The settings of the test shop: a tag of 85 x 55 mm on A4, one side."""
    return load_settings(print_folder / "settings.toml")


def _parts(shop, card="tag"):
    sheet = shop.sheets[shop.cards[card].sheet]
    return shop.cards[card], sheet, shop.printers[sheet.printer]


def _shaping(shop):
    card, sheet, printer = _parts(shop)
    return SheetSetup(card=card, sheet=sheet, printer=printer, cutter=GUILLOTINE)


def _wanted(*orders):
    """Orders, each by its cards and its overs."""
    return [Wishes(quantity=quantity, overs=overs_from(overs)) for quantity, overs in orders]


def test_orders_of_one_card_may_share_a_sheet(shop):
    card, sheet, printer = _parts(shop)
    other = card.model_copy(update={"name": "label", "overs": "5 %", "warn_ppi": 90})
    assert gang_key(card, sheet, printer) == gang_key(other, sheet, printer)


@pytest.mark.parametrize("change", [{"sides": 2}, {"corner": 3}, {"bleed": 2}, {"least_bleed": 1}])
def test_what_the_cutter_would_see_keeps_orders_apart(shop, change):
    card, sheet, printer = _parts(shop)
    assert gang_key(card, sheet, printer) != gang_key(card.model_copy(update=change), sheet, printer)


def test_another_printer_or_sheet_keeps_orders_apart(shop):
    card, sheet, printer = _parts(shop)
    keys = {
        gang_key(card, sheet, printer),
        gang_key(card, sheet.model_copy(update={"name": "other"}), printer),
        gang_key(card, sheet, printer.model_copy(update={"name": "other"})),
    }
    assert len(keys) == 3


def test_overs_count_in_cards_and_in_sheets(shop):
    """20 + 10 % and 33 + 3 cards; the one spare sheet that the third asks for counts for all."""
    layout, choice = choose_gang_orders(_shaping(shop), _wanted((20, "10 %"), (33, "3"), (9, "1 sheet")))
    assert layout.up >= 9
    assert [sheets - 1 for sheets in choice.single_sheets] == [-(-cards // layout.up) for cards in (22, 36, 9)]


def test_what_is_ganged_saves_sheets(shop):
    layout, choice = choose_gang_orders(_shaping(shop), _wanted((4, "0"), (4, "0")))
    assert choice.ganged == (0, 1)
    assert (choice.sheets, sum(choice.single_sheets)) == (1, 2)
    assert choice.plan.up == layout.up
