"""The words of a fault in the settings."""

import pickle

import pytest

from watcher.settings.faults import WrittenNumber, fault, missing, no_table, not_there, show, show_heading, unknown


def test_a_fault_has_the_key_the_value_as_written_and_the_way_out():
    assert fault(("sheets", "letter", "gutter"), "-2 mm", "use 0 or more") == (
        'sheets.letter.gutter is "-2 mm"; use 0 or more'
    )


def test_a_missing_key_says_what_to_write():
    assert missing(("cards", "menu", "trim"), "write it") == "cards.menu.trim is missing; write it"


def test_an_unknown_key_names_the_nearest():
    assert unknown(("cards", "menu", "bled"), 3, ["bleed", "trim"]).endswith("did you mean bleed?")
    assert unknown(("cards", "menu", "zzz"), 3, ["bleed", "trim"]).endswith("known here: bleed, trim")


def test_a_reference_to_nothing_lists_what_is_there_the_nearest_first():
    assert not_there(("cards", "menu", "sheet"), "leter", "sheet", ["a4", "letter"]).endswith('use "letter" or "a4"')


def test_a_reference_to_nothing_where_there_is_nothing_asks_for_a_table():
    assert not_there(("cards", "menu", "sheet"), "a4", "sheet", []).endswith("write a table [sheets.a4] first")
    printer = not_there(("sheets", "a4", "printer"), "laser", "printer", [])
    assert printer.endswith('write a table [printers.laser] first, with flip = "long-edge" in it')


def test_a_value_where_a_table_belongs_shows_the_heading():
    assert no_table(("cards",), 3, "NAME").endswith("with the heading [cards.NAME]")


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (True, "true"),
        (3, "3"),
        (WrittenNumber("1.50"), "1.50"),
        ("two\nlines", '"two\\nlines"'),
        (["a", 1], '["a", 1]'),
        ({"a": 1}, "a table"),
    ],
)
def test_a_value_is_shown_as_toml_writes_it(value, shown):
    assert show(value) == shown


def test_a_name_that_is_no_bare_key_is_quoted():
    assert show_heading(("cards", "two words")) == '[cards."two words"]'


def test_a_number_keeps_its_way_of_writing_in_another_process():
    assert pickle.loads(pickle.dumps(WrittenNumber("0.10"))).written == "0.10"
