"""The settings parsed table by table, faults and all."""

import tomllib
from pathlib import Path

import pytest

from watcher.settings.tables import parse_tables

PATH = Path("/shop/settings.toml")


@pytest.fixture
def parse(least):
    return lambda changes=("", ""): parse_tables(tomllib.loads(least.replace(*changes)), PATH)


def test_a_sound_file_has_no_faults_and_each_table_its_record(parse):
    parsed, faults = parse()
    assert faults == []
    assert parsed.cards["invitation"].model.sheet == "letter"
    assert parsed.cards["invitation"].key == ("cards", "invitation")
    assert parsed.service.written == {}


def test_a_faulty_value_leaves_the_others_of_its_table_sound(parse):
    parsed, faults = parse(('trim = "5 x 7 in"', 'trim = "5 x 7 in"\nbleed = "-1 mm"'))
    card = parsed.cards["invitation"]
    assert len(faults) == 1
    assert not card.sound("bleed")
    assert card.sound("trim", "sheet")
    assert card.model.sheet == "letter"


def test_a_missing_value_is_replaced_so_that_the_other_tables_can_be_checked(parse):
    parsed, faults = parse(('trim = "5 x 7 in"', ""))
    assert [fault.split(";")[0] for fault in faults] == ["cards.invitation.trim is missing"]
    assert not parsed.cards["invitation"].sound("trim")
    assert parsed.sheets["letter"].sound("size")


def test_an_unknown_table_is_a_fault_of_its_own(parse):
    _, faults = parse(("[cards.invitation]", "[cardz.x]\n[cards.invitation]"))
    assert faults[0].startswith("cardz is a table; there is no setting of this name; did you mean cards?")


def test_a_name_that_no_folder_can_have_is_a_fault(parse):
    parsed, faults = parse(("[cards.invitation]", '[cards."a/b"]'))
    assert faults[0].startswith('[cards."a/b"] cannot be used as a name')
    assert parsed.cards["a/b"].model.name == "?"


def test_a_fault_of_a_value_shows_it_as_written_or_says_that_it_is_missing(parse):
    card = parse()[0].cards["invitation"]
    assert card.fault("sheet", "use another") == 'cards.invitation.sheet is "letter"; use another'
    assert card.fault("safe", "write it") == "cards.invitation.safe is missing; write it"
