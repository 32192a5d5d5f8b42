"""The defaults of every key, and what the records promise."""

import pickle
from fractions import Fraction
from pathlib import Path

import pydantic
import pytest

from watcher.errors import WrongUsage
from watcher.layout.geometry import Size
from watcher.settings.load import load_settings
from watcher.settings.names import NameSettings
from watcher.terms import Engine, Events, Flip

# The defaults as they were decided before they were written; our own choices.
SINGLE_DEFAULTS = {
    ("defaults", "card"): "invitation",
    ("service", "quiet"): 2,
    ("service", "rescan"): 30,
    ("service", "wait_for_other_side"): 15 * 60,
    ("service", "give_up"): 10 * 60,
    ("service", "events"): Events.NATIVE,
    ("service", "workers"): 2,
    ("service", "on_finished"): (),
    ("service", "read_back"): True,
    ("service", "engine"): Engine.LOCAL,
    ("service", "scheduler"): None,
    ("service", "keep"): None,
    ("service", "keep_printed"): 30 * 86_400,
    ("service", "money"): "",
    ("defaults", "label"): None,
    ("defaults", "bundle"): 50,
}


@pytest.mark.parametrize(("place", "value"), SINGLE_DEFAULTS.items())
def test_default_of_single_tables(load, place, value):
    assert getattr(getattr(load(), place[0]), place[1]) == value


@pytest.mark.parametrize("name", ["inbox", "outbox", "held", "archive", "state"])
def test_folders_lie_beside_the_file(load, tmp_path, name):
    assert getattr(load().folders, name) == tmp_path / name


def test_home_folder_is_expanded(load, least, tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    settings = load(f'{least}\n[folders]\nstate = "~/notes"')

    assert settings.folders.state == tmp_path / "home" / "notes"


def test_absolute_folder_stays(load, least, tmp_path):
    settings = load(f"{least}\n[folders]\noutbox = '{tmp_path / 'elsewhere'}'")

    assert settings.folders.outbox == tmp_path / "elsewhere"


def test_settings_cannot_be_changed(load):
    with pytest.raises(pydantic.ValidationError):
        load().cards["invitation"].sides = 1


def test_settings_travel_to_another_process(load):
    settings = load()

    assert pickle.loads(pickle.dumps(settings)) == settings


def test_way_from_card_to_printer(load):
    settings = load()
    sheet = settings.sheet_for(settings.card("invitation"))

    assert sheet.name == "letter"
    assert settings.printer_for(sheet).flip is Flip.LONG_EDGE


def test_sheet_asked_for_wins(changed):
    settings = changed({}, '[sheets.a4]\nsize = "A4"\nprinter = "laser"')

    assert settings.sheet_for(settings.card("invitation"), "a4").size == Size(Fraction(210), Fraction(297))


def test_names_are_found_whatever_their_capitals(load):
    """A folder in the inbox may come back from a phone or a Mac with other capitals or letters taken apart."""
    assert load().card("Invitation").name == "invitation"


def test_decomposed_letters_are_the_same_name(load, least):
    settings = load(least.replace("[cards.invitation]", '[cards."menü"]'))

    assert settings.card("menu\u0308").name == "menü"


def test_a_name_that_is_not_there_lists_what_is(load):
    with pytest.raises(WrongUsage, match=r'no card "menu" in the settings; there is: "invitation"'):
        load().card("menu")


def test_where_the_file_lies(load, tmp_path):
    settings = load()

    assert (settings.path, settings.folder) == (tmp_path / "settings.toml", tmp_path)


def test_a_relative_path_becomes_absolute(write, tmp_path, monkeypatch):
    write()
    monkeypatch.chdir(tmp_path)
    settings = load_settings(Path("settings.toml"))

    assert settings.path == tmp_path / "settings.toml"
    assert settings.folders.inbox == tmp_path / "inbox"


@pytest.mark.parametrize(
    ("table", "line", "says"),
    [
        ("sheets.letter", 'thickness = "0 mm"', "use the thickness of one sheet, 0.02 to 3 mm"),
        ("sheets.letter", 'thickness = "3.1 mm"', "use the thickness of one sheet, 0.02 to 3 mm"),
        ("sheets.letter", 'mark_weight = "0.05 pt"', 'use "0.1 pt" to "2 pt"'),
        ("sheets.letter", 'mark_weight = "3 pt"', 'use "0.1 pt" to "2 pt"'),
        ("sheets.letter", 'grain = "along"', 'use "long" or "short"'),
        ("sheets.letter", "register_crosses = 1", "use true or false, without quotes"),
        ("cards.invitation", 'fold = "right"', 'use "left" or "top"'),
        ("printers.laser", 'kind = "toner"', 'use "laser" or "inkjet"'),
    ],
)
def test_what_no_paper_or_printer_has_is_refused(faults, table, line, says):
    (fault,) = faults({table: line})

    assert fault.startswith(f"{table}.{line.split(' = ')[0]} is ")
    assert fault.endswith(f"; {says}")


def test_side_words_are_those_of_many_languages_and_english_is_proposed():
    names = NameSettings()
    assert (names.front[0], names.back[0]) == ("front", "back")
    assert {"Vorderseite", "recto", "avant", "frente", "voorkant"} <= set(names.front)
    assert {"Rückseite", "verso", "arrière", "dorso", "reverso", "achterkant"} <= set(names.back)
