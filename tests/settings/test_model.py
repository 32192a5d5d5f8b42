"""The defaults of every key, and what the records promise."""

import pickle
from fractions import Fraction
from pathlib import Path

import pydantic
import pytest

from watcher.errors import WrongUsage
from watcher.layout.geometry import Margins, Size
from watcher.settings.load import load_settings
from watcher.settings.model import (
    AlignSettings,
    CardSettings,
    CutterSettings,
    NameSettings,
    PrinterSettings,
    SheetSettings,
)
from watcher.settings.values import Overs, OversKind, Pile
from watcher.terms import (
    Backs,
    Copies,
    CutterKind,
    Duplex,
    Engine,
    Events,
    Feed,
    Flip,
    MakeBleed,
    Marks,
    PaperEdge,
    Prefer,
    PrinterKind,
    Send,
    Sequencing,
    ShapeMismatch,
)

QUARTER_INCH = Fraction("6.35")

# The table of defaults, copied from the project's design, section 6.
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
CARD_DEFAULTS = {
    "bleed": 0,
    "least_bleed": 0,
    "art_bleed": None,
    "safe": 3,
    "sides": 2,
    "backs": Backs.HEAD_TO_HEAD,
    "quantity": 1,
    "overs": Overs(OversKind.CARDS, Fraction(0)),
    "common_back": None,
    "common_front": None,
    "shape_mismatch": ShapeMismatch.HOLD,
    "back_quarter": None,
    "make_bleed": MakeBleed.MIRROR,
    "warn_ppi": 225,
    "hold_ppi": 150,
    "paper_edge": PaperEdge.NO,
    "approve": False,
    "sequence": Sequencing.ACROSS,
    "fold": None,
    "corner": 0,
    "envelope": None,
    "label": None,
    "bundle": None,
}
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
PRINTER_DEFAULTS = {
    "kind": PrinterKind.LASER,
    "dialog_flip": None,
    "duplex": Duplex.AUTOMATIC,
    "feed": Feed.SHORT_EDGE,
    "lead": None,
    "guide": None,
    "reload": None,
    "backs_order": None,
    "output_profile": None,
    "convert": False,
    "ink_limit": 300,
    "queue": None,
    "send": Send.ASKED,
    "fingerprint": None,
    "login_file": None,
    "click": None,
    "align": {},
}
ALIGN_DEFAULTS = {"shift": (0, 0), "turn": 0, "scale": (1, 1)}


@pytest.mark.parametrize(("place", "value"), SINGLE_DEFAULTS.items())
def test_default_of_single_tables(load, place, value):
    assert getattr(getattr(load(), place[0]), place[1]) == value


@pytest.mark.parametrize("name", ["inbox", "outbox", "held", "archive", "state"])
def test_folders_lie_beside_the_file(load, tmp_path, name):
    assert getattr(load().folders, name) == tmp_path / name


@pytest.mark.parametrize(("key", "value"), CARD_DEFAULTS.items())
def test_default_of_a_card(load, key, value):
    assert getattr(load().cards["invitation"], key) == value


@pytest.mark.parametrize(("key", "value"), SHEET_DEFAULTS.items())
def test_default_of_a_sheet(load, key, value):
    assert getattr(load().sheets["letter"], key) == value


@pytest.mark.parametrize(("key", "value"), PRINTER_DEFAULTS.items())
def test_default_of_a_printer(load, key, value):
    assert getattr(load().printers["laser"], key) == value


@pytest.mark.parametrize(("key", "value"), ALIGN_DEFAULTS.items())
def test_default_of_a_correction(key, value):
    assert getattr(AlignSettings(), key) == value


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


@pytest.mark.parametrize(
    ("fold", "width", "height", "backs"),
    [("left", "254", "177.8", Backs.HEAD_TO_HEAD), ("top", "127", "355.6", Backs.HEAD_TO_TOE)],
)
def test_a_folded_card_opens_out_to_twice_its_size(changed, fold, width, height, backs):
    """5 x 7 in; it opens like a book page or like a wall calendar, by itself."""
    card = changed({"cards.invitation": f'fold = "{fold}"'}).cards["invitation"]

    assert card.trim == Size(Fraction(127), Fraction("177.8"))
    assert card.flat == card.opened_out.trim == Size(Fraction(width), Fraction(height))
    assert card.opened_out.backs is backs


def test_a_flat_card_is_opened_out_as_it_is(load):
    card = load().cards["invitation"]

    assert card.opened_out is card
    assert card.flat == card.trim


def test_table_of_defaults_is_complete():
    """Every key is in a table above or has no default (trim, sheet, size, printer, flip)."""
    assert CardSettings.model_fields.keys() - CARD_DEFAULTS.keys() == {"name", "trim", "sheet"}
    assert SheetSettings.model_fields.keys() - SHEET_DEFAULTS.keys() == {"name", "size", "printer"}
    assert CutterSettings.model_fields.keys() == {"name", "kind", "pile", "least_gauge"}
    assert PrinterSettings.model_fields.keys() - PRINTER_DEFAULTS.keys() == {"name", "flip"}


def test_least_bleed_is_the_bleed_when_not_written(changed):
    card = changed({"cards.invitation": 'bleed = "3 mm"'}).cards["invitation"]

    assert card.least_bleed == 3


def test_least_bleed_stays_as_written(changed):
    card = changed({"cards.invitation": 'bleed = "3 mm"\nleast_bleed = "0 mm"'}).cards["invitation"]

    assert card.least_bleed == 0


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


def test_correction_by_hand(changed):
    more = '[printers.laser.align.letter]\nshift = ["0.5 mm", "-0.3 mm"]\nturn = -0.1\nscale = [1.001, 1]'
    settings = changed({}, more)
    align = settings.printers["laser"].align_for(settings.sheets["letter"])

    assert align.shift == (Fraction("0.5"), Fraction("-0.3"))
    assert (align.turn, align.scale) == (-0.1, (1.001, 1.0))


@pytest.mark.parametrize(("shift", "count"), [("50 mm", 0), ("-50.1 mm", 1)])
def test_a_correction_by_hand_shifts_by_five_centimetres_at_most(faults, shift, count):
    """Our own choice: no printer is off by more."""
    found = faults({}, f'[printers.laser.align.letter]\nshift = ["0 mm", "{shift}"]')
    assert ["use 50 mm or less" in fault for fault in found] == [True] * count


def test_common_back_is_relative_to_the_file(changed, tmp_path):
    card = changed({"cards.invitation": 'common_back = "art/back.pdf"'}).cards["invitation"]

    assert card.common_back == tmp_path / "art" / "back.pdf"


def test_home_folder_is_expanded(load, least, tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    settings = load(f'{least}\n[folders]\nstate = "~/notes"')

    assert settings.folders.state == tmp_path / "home" / "notes"


def test_absolute_folder_stays(load, least, tmp_path):
    settings = load(f"{least}\n[folders]\noutbox = '{tmp_path / 'elsewhere'}'")

    assert settings.folders.outbox == tmp_path / "elsewhere"


def test_records_are_built_from_values_as_well():
    """A program gives sizes and lengths as values; the file gives them as text."""
    size = Size(Fraction(127), Fraction("177.8"))
    card = CardSettings(
        name="card", trim=size, bleed=Fraction(3), sheet="letter", overs=Overs(OversKind.SHEETS, Fraction(1))
    )

    assert card == CardSettings(name="card", trim="5 x 7 in", bleed="3 mm", sheet="letter", overs="1 sheet")


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


def test_a_cutter_of_an_unknown_kind_is_refused_once(faults):
    (fault,) = faults({}, '[cutters.mine]\nkind = "axe"\npile = "3 sheets"')

    assert fault == 'cutters.mine.kind is "axe"; use "guillotine" or "trimmer" or "scissors"'


def test_side_words_are_those_of_many_languages_and_english_is_proposed():
    names = NameSettings()
    assert (names.front[0], names.back[0]) == ("front", "back")
    assert {"Vorderseite", "recto", "avant", "frente", "voorkant"} <= set(names.front)
    assert {"Rückseite", "verso", "arrière", "dorso", "reverso", "achterkant"} <= set(names.back)
