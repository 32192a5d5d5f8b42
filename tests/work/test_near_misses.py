"""Near misses: sums done by hand stand beside each figure; what is advised is laid out again to see it come true."""

import re
from fractions import Fraction
from pathlib import Path

import pytest

from watcher.settings.load import settings_from
from watcher.settings.to_toml import SheetSetup
from watcher.work.near_misses import cards_on_sheet, near_misses

SHOP = """
[cards.menu]
trim = "A5"
bleed = "3 mm"
sheet = "sra3"
[sheets.sra3]
size = "SRA3"
printer = "press"
[printers.press]
flip = "long-edge"
"""


def setup_of(text: str) -> SheetSetup:
    settings = settings_from(text, Path("/nowhere/settings.toml"))
    (card,) = settings.cards.values()
    sheet = settings.sheet_for(card)
    return SheetSetup(card=card, sheet=sheet, printer=settings.printer_for(sheet), cutter=settings.cutter_for(sheet))


def told(text: str) -> list[str]:
    return list(near_misses(setup_of(text), 1))


def followed(text: str, sentence: str) -> int:
    """How many cards come onto a sheet when the line that the sentence gives is written."""
    key, value = re.search(r": (\w+) = (\".*?\"|\[.*?\])", sentence).groups()
    heading = "[cards.menu]" if "for the card" in sentence else "[sheets.sra3]"
    lines = [line for line in text.splitlines() if not line.startswith(f"{key} =")]
    return cards_on_sheet(setup_of("\n".join(lines).replace(heading, f"{heading}\n{key} = {value}")), 1)


def test_seven_tenths_of_a_millimetre_decide_between_two_and_four():
    """2 x 148 + 6 between + 2 x 3 bleed = 308 of 320 mm: 6 mm of rim on each side, where 0.25 in (6.35 mm) is set."""
    rim, gutter, bleed = told(SHOP)
    assert rim.startswith('0.7 mm less rim would put 4 on a sheet instead of 2: unprintable = "6 mm"')
    assert gutter.startswith('0.7 mm less gutter would put 4 on a sheet instead of 2: gutter = "5.3 mm"')
    assert bleed.startswith("0.35 mm less bleed at the outside would put 4 on a sheet instead of 2")


@pytest.mark.parametrize("which", [0, 1, 2])
def test_what_is_advised_comes_true_and_a_hair_less_would_not_do(which: int):
    sentence = told(SHOP)[which]
    assert followed(SHOP, sentence) == 4
    hair_less = re.sub(r'= "([0-9.]+) mm"', lambda found: f'= "{Fraction(found[1]) + Fraction(1, 100)} mm"', sentence)
    hair_less = re.sub(r'"(\d+)/100 mm"', lambda found: f'"{int(found[1]) / 100} mm"', hair_less)
    assert followed(SHOP, hair_less) == 2


def test_what_lies_further_than_a_millimetre_is_not_near():
    """1.05 mm of rim on each side is too much, and 2.1 mm between; four bleeds of 0.53 mm less are near."""
    (bleed,) = told(SHOP.replace('size = "SRA3"', 'size = "SRA3"\nunprintable = "7.05 mm"'))
    assert bleed.startswith("0.53 mm less bleed would put 4 on a sheet instead of 2")
    assert told(SHOP.replace('size = "SRA3"', 'size = "SRA3"\nunprintable = "9 mm"')) == []


def test_of_an_uneven_rim_only_the_side_that_is_in_the_way_gets_smaller():
    """One side: flush with the long way, 2 x 210 + 6 + 6 = 432 of 450 mm: 18 mm of rim, where 3 and 15.5 are set."""
    text = SHOP.replace('size = "SRA3"', 'size = "SRA3"\nunprintable = ["3 mm", "3 mm", "15.5 mm", "3 mm"]')
    rim = told(text.replace('trim = "A5"', 'trim = "A5"\nsides = 1'))[0]
    assert rim.startswith("0.5 mm less rim would put 4 on a sheet instead of 3")
    assert 'unprintable = ["3 mm", "3 mm", "15 mm", "3 mm"]' in rim


def test_a_card_that_fits_only_just_not_is_near_too():
    """300 + 6 of bleed + 2 x 7.5 = 321 of 320 mm: half a millimetre of rim on each side."""
    text = SHOP.replace('"A5"', '"300 x 420 mm"').replace('size = "SRA3"', 'size = "SRA3"\nunprintable = "7.5 mm"')
    assert told(text)[0].startswith("1 mm less rim would put 1 on a sheet instead of none")


def test_the_paper_is_tried_the_other_way_round_where_the_rim_is_not_the_same_all_round():
    """Of 304.8 x 330.2 mm, 12.7 mm lost at the trailing edge: 314.5 mm is the most; the other way 324.2 x 289.1 mm."""
    text = """
[cards.menu]
trim = "320 x 140 mm"
sides = 1
sheet = "sra3"
[sheets.sra3]
size = "12 x 13 in"
unprintable = ["3 mm", "3 mm", "12.7 mm", "3 mm"]
printer = "press"
[printers.press]
flip = "long-edge"
"""
    (said,) = told(text)
    assert said.startswith(
        "the paper landscape would put 2 on a sheet instead of none: a sheet of its own with size = "
    )
    assert 'size = "13 in x 12 in" on a printer with feed = "long-edge"' in said


def test_with_an_even_rim_the_paper_takes_as_many_either_way_round():
    for size in ("320 x 450 mm", "450 x 320 mm"):
        assert not [said for said in told(SHOP.replace("SRA3", size)) if said.startswith("the paper")]


def test_turned_cards_are_named_where_the_sheet_does_not_mix_them():
    """Place cards on letter, of the starter for an inkjet: six in a plain grid, eight mixed."""
    text = """
[cards.menu]
trim = "3.5 x 2.5 in"
bleed = "0.125 in"
sides = 1
sheet = "sra3"
[sheets.sra3]
size = "letter"
unprintable = ["3 mm", "3 mm", "12.7 mm", "3 mm"]
mixed_turns = false
printer = "press"
[printers.press]
flip = "long-edge"
"""
    assert told(text)[-1].startswith("upright and turned cards together would put 8 on a sheet instead of 6")
