"""What cuts the cards apart, and what it takes."""

from fractions import Fraction

import pytest

from watcher.settings.amounts import Pile
from watcher.settings.cutter import CutterSettings
from watcher.terms import CutterKind


@pytest.mark.parametrize(
    ("kind", "pile", "least_gauge"),
    [("guillotine", Pile(height=Fraction(40)), 30), ("trimmer", Pile(sheets=3), 0), ("scissors", Pile(sheets=1), 0)],
)
def test_defaults_of_a_cutter_go_by_its_kind(changed, kind, pile, least_gauge):
    cutter = changed({}, f'[cutters.mine]\nkind = "{kind}"').cutters["mine"]

    assert (cutter.kind, cutter.pile, cutter.least_gauge) == (CutterKind(kind), pile, least_gauge)


def test_a_cutter_is_a_guillotine_unless_it_says(changed):
    assert changed({}, "[cutters.mine]").cutters["mine"].kind is CutterKind.GUILLOTINE


def test_a_sheet_without_a_cutter_goes_to_a_guillotine(load):
    settings = load()

    assert settings.cutter_for(settings.sheets["letter"]).kind is CutterKind.GUILLOTINE


def test_a_sheet_names_its_cutter_in_any_capitals(changed):
    settings = changed({"sheets.letter": 'cutter = "Mine"'}, '[cutters.mine]\nkind = "trimmer"\npile = "5 sheets"')

    assert settings.cutter_for(settings.sheets["letter"]).pile == Pile(sheets=5)


def test_a_cutter_of_an_unknown_kind_is_refused_once(faults):
    (fault,) = faults({}, '[cutters.mine]\nkind = "axe"\npile = "3 sheets"')

    assert fault == 'cutters.mine.kind is "axe"; use "guillotine" or "trimmer" or "scissors"'


def test_there_is_a_default_for_all_but_its_name():
    assert CutterSettings.model_fields.keys() == {"name", "kind", "pile", "least_gauge"}
