"""The defaults of a sheet, its gutter and its rim."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Margins
from watcher.settings.sheet import SheetSettings
from watcher.terms import Copies, Marks, Prefer

QUARTER_INCH = Fraction("6.35")

SHEET_DEFAULTS = {
    "unprintable": Margins.all_round(QUARTER_INCH),
    "unprintable_back": None,
    "gutter": None,
    "marks": Marks.CROP,
    "slug": True,
    "mixed_turns": True,
    "prefer": Prefer.MOST_CARDS,
    "copies": Copies.ONCE,
    "gang": False,
    "gang_wait": 2 * 3600,
    "gang_layouts": 1,
    "paper": "",
    "thickness": None,
    "grain": None,
    "register_crosses": False,
    "mark_weight": Fraction("25.4") / 72 / 4,
    "cutter": None,
    "tray": None,
    "stock": None,
    "quality": None,
    "price": None,
}


@pytest.mark.parametrize(("key", "value"), SHEET_DEFAULTS.items())
def test_default_of_a_sheet(load, key, value):
    assert getattr(load().sheets["letter"], key) == value


def test_gutter_is_twice_the_bleed_when_not_written(changed):
    settings = changed({"cards.invitation": 'bleed = "0.125 in"'})
    card = settings.cards["invitation"]

    assert settings.sheets["letter"].gutter_for(card) == QUARTER_INCH


def test_gutter_may_be_nothing(changed):
    settings = changed({"cards.invitation": 'bleed = "3 mm"', "sheets.letter": 'gutter = "0 mm"'})

    assert settings.sheets["letter"].gutter_for(settings.cards["invitation"]) == 0


def test_rim_in_the_order_top_right_bottom_left(changed):
    sheet = changed({"sheets.letter": 'unprintable = ["1 mm", "2 mm", "3 mm", "4 mm"]'}).sheets["letter"]

    assert sheet.unprintable == Margins(top=Fraction(1), right=Fraction(2), bottom=Fraction(3), left=Fraction(4))


def test_one_length_is_a_rim_all_round(changed):
    sheet = changed({"sheets.letter": 'unprintable = "4 mm"\nunprintable_back = "5 mm"'}).sheets["letter"]

    assert (sheet.unprintable, sheet.unprintable_back) == (
        Margins.all_round(Fraction(4)),
        Margins.all_round(Fraction(5)),
    )


def test_the_table_of_defaults_is_complete():
    assert SheetSettings.model_fields.keys() - SHEET_DEFAULTS.keys() == {"name", "size", "printer"}
