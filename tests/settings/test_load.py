"""A settings file is taken whole, or refused with every fault it has."""

from decimal import Decimal

import pytest

from watcher.errors import ExitCode, SettingsRefused
from watcher.settings.load import load_settings
from watcher.units import show_size

MANY_FAULTS = """
[default]
card = "menu"
[defaults]
card = "menus"
[names]
front = ["front", "x2"]
[service]
quiet = 2.50
rescan = "soon"
workers = true
events = "nativ"
[cards.invitation]
trim = "A7"
bleeed = "3 mm"
sheet = "letter"
overs = "5 boxes"
quantity = 0
sides = "2"
[cards.tag]
trim = "2 x 1 in"
sheet = "lettr"
bleed = "1 mm"
least_bleed = "2 mm"
hold_ppi = 300
[cards.menu]
sheet = "letter"
[sheets.letter]
size = "letter"
gutter = "-2 mm"
printer = "lasr"
[printers.laser]
flip = "Long Edge"
"""
EACH_OF_THEM = [
    "default is a table; there is no setting of this name; did you mean defaults?",
    'defaults.card is "menus"; use "menu" or "invitation" or "tag"',
    'names.front is ["front", "x2"]; "x2" in a file name is a quantity or a pixel scale; use another word',
    'service.quiet is 2.50; write a number with a unit (s, min, h, days, years), such as "2 s" or "15 min"',
    'service.rescan is "soon"; write a number with a unit (s, min, h, days, years), such as "2 s" or "15 min"',
    "service.workers is true; use a whole number without quotes",
    'service.events is "nativ"; use "native" or "polling"',
    'cards.invitation.trim is "A7"; on inch paper this may be ISO A7, 74 x 105 mm, or the note card for an A7 '
    'envelope, 127 x 177.8 mm; write "ISO A7" or "5 x 7 in"',
    'cards.invitation.bleeed is "3 mm"; there is no setting of this name; did you mean bleed?',
    'cards.invitation.overs is "5 boxes"; write a share such as "5 %", a number of cards such as 3, '
    'or sheets such as "1 sheet"',
    "cards.invitation.quantity is 0; use 1 to 1,000,000",
    'cards.invitation.sides is "2"; use 1 or 2, without quotes',
    'cards.tag.sheet is "lettr"; use "letter"',
    'cards.tag.least_bleed is "2 mm"; use 1 mm or less, which is bleed',
    "cards.tag.hold_ppi is 300; use 225 or less, which is warn_ppi",
    'cards.menu.trim is missing; write the finished size, such as trim = "5 x 7 in"',
    'sheets.letter.gutter is "-2 mm"; use 0 or more',
    'sheets.letter.printer is "lasr"; use "laser"',
    'printers.laser.flip is "Long Edge"; use "long-edge" or "short-edge"',
]


def test_all_faults_at_once(faults_in):
    """Each fault gives key, value as written and what would be right, however many there are."""
    assert sorted(faults_in(MANY_FAULTS)) == sorted(EACH_OF_THEM)


def test_refusal_names_the_file_on_each_line(write):
    with pytest.raises(SettingsRefused) as refused:
        load_settings(write(MANY_FAULTS))

    lines = str(refused.value).splitlines()
    assert len(lines) == len(EACH_OF_THEM)
    assert all(line.startswith("settings.toml: ") for line in lines)
    assert refused.value.exit_code is ExitCode.USAGE


def test_shortest_complete_file_is_taken(load):
    settings = load()

    assert (list(settings.cards), list(settings.sheets), list(settings.printers)) == (
        ["invitation"],
        ["letter"],
        ["laser"],
    )


@pytest.mark.parametrize("key", ["trim", "sheet", "size", "printer"])
def test_what_has_no_default_must_be_written(faults_in, least, key):
    text = "\n".join(line for line in least.splitlines() if not line.startswith(f"{key} ="))

    assert any(f".{key} is missing; write the" in fault for fault in faults_in(text))


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        ({"cards.invitation": "safe = 3"}, "cards.invitation.safe is 3; write a number with a unit"),
        ({"cards.invitation": "safe = 3.50"}, "cards.invitation.safe is 3.50; write a number with a unit"),
        ({"cards.invitation": "sides = 3"}, "cards.invitation.sides is 3; use 1 or 2"),
        ({"cards.invitation": "sides = true"}, "cards.invitation.sides is true; use 1 or 2"),
        ({"cards.invitation": "quantity = 1_000_001"}, "cards.invitation.quantity is 1000001; use 1 to 1,000,000"),
        ({"cards.invitation": "warn_ppi = -1"}, "cards.invitation.warn_ppi is -1; use 0 to 10,000"),
        ({"cards.invitation": 'backs = "up"'}, 'cards.invitation.backs is "up"; use "head-to-head" or "head-to-toe"'),
        ({"cards.invitation": "common_back = 5"}, "cards.invitation.common_back is 5; use the path"),
        ({"cards.invitation": 'name = "x"'}, 'cards.invitation.name is "x"; there is no setting of this name'),
        ({"sheets.letter": "slug = 1"}, "sheets.letter.slug is 1; use true or false"),
        ({"sheets.letter": 'unprintable = ["1 mm", "2 mm"]'}, "use one length, or four"),
        ({"sheets.letter": "paper = 250"}, "sheets.letter.paper is 250; use text in quotes"),
        ({"printers.laser": "align = 3"}, "printers.laser.align is 3; write a table of its own"),
        (
            {"printers.laser": "align = {letter = 3}"},
            "write a table of its own, with the heading [printers.laser.align.",
        ),
        (
            {"printers.laser": "align = {letter = {turn = nan}}"},
            "printers.laser.align.letter.turn is nan; use a number",
        ),
        ({"printers.laser": "align = {letter = {turn = 45}}"}, "turn is 45; use -10 to 10 degrees"),
        ({"printers.laser": "align = {letter = {scale = [1, 0]}}"}, "scale is [1, 0]; use numbers from 0.8 to 1.25"),
        ({"printers.laser": 'align = {letter = {shift = ["60 mm", "0 mm"]}}'}, "use 50 mm or less"),
        ({"printers.laser": "align = {letter = {shft = 1}}"}, "there is no setting of this name; did you mean shift?"),
    ],
)
def test_one_fault_in_our_own_words(faults, lines, fault):
    found = faults(lines)

    assert len(found) == 1
    assert fault in found[0]


@pytest.mark.parametrize(
    ("table", "fault"),
    [
        ('[names]\nback = "back"', 'names.back is "back"; use a list of words'),
        ("[names]\nback = []", "names.back is []; use a list of words"),
        ('[names]\nback = ["rear", "REAR"]', "use each word once"),
        ('[names]\nback = ["rear", "re\u0301", "r\u00e9"]', "use each word once"),
        ('[names]\nback = [""]', 'names.back is [""]; "" cannot be a side word'),
        ('[names]\nback = ["_b"]', '"_b" cannot be a side word'),
        ('[names]\nback = ["a/b"]', '"a/b" cannot be a side word'),
        ('[names]\nback = ["@2x"]', '"@2x" in a file name is a quantity or a pixel scale'),
        ("[service]\nworkers = 0", "service.workers is 0; use 1 to 64"),
        ('[service]\nengine = "dask"', 'service.engine is "dask"; write the address of the scheduler too'),
        ('[service]\nscheduler = "10.0.0.5"', 'use the address of the scheduler, such as "tcp://'),
        ('[service]\non_finished = "beep"', 'service.on_finished is "beep"; use a list of texts'),
        (
            '[service]\non_finished = ["lp", "-n{copy}", "{Sheets}", "{sheets }", "{order}"]',
            "{copy}, {Sheets}, {sheets } stands for nothing;"
            " use {sheets}, {copies}, {sides}, {media}, {order}, {ticket}",
        ),
        ("[service]\ngive_up = 0", "service.give_up is 0; write a number with a unit"),
        ("[folders]\ninbox = 5", "folders.inbox is 5; use the path of a file or folder, in quotes"),
        ('[folders]\ninbox = ""', 'folders.inbox is ""; use the path'),
        ('[folders]\ninbox = "~nobody-of-this-name/x"', "nobody has this home folder"),
        ("[defaults]\ncard = true", "defaults.card is true; use a name in quotes"),
    ],
)
def test_one_fault_of_a_single_table(faults, table, fault):
    found = faults({}, table)

    assert len(found) == 1
    assert fault in found[0]


def test_durations_may_be_nothing(load, least):
    service = load(f'{least}\n[service]\nquiet = "0 s"\nwait_for_other_side = "0 min"').service

    assert (service.quiet, service.wait_for_other_side) == (0, 0)


@pytest.mark.parametrize(
    ("text", "fault"), [("cards = 5", "cards is 5; write a table"), ("folders = 'x'", "folders is")]
)
def test_value_where_a_table_belongs(faults_in, text, fault):
    assert any(found.startswith(fault) for found in faults_in(text))


@pytest.mark.parametrize("name", ["a/b", "..", ".hidden", "a:b", "con", "end.", "a\\u0000b", "a\\nb", " ", "x" * 61])
def test_names_that_no_folder_can_have(faults_in, least, name):
    """Cards are folders of the inbox, and a synced folder lives on every file system."""
    found = faults_in(least.replace("[cards.invitation]", f'[cards."{name}"]'))

    assert len(found) == 1
    assert "cannot be used as a name; use letters, digits, spaces, - and _" in found[0]


def test_names_that_differ_in_capitals_alone(faults, least):
    found = faults({}, '[cards.Invitation]\ntrim = "A5"\nsheet = "letter"')

    assert found == [
        "[cards.invitation] and [cards.Invitation] differ in capitals alone; use another name for one of them"
    ]


def test_control_signs_in_a_value_stay_on_one_line(faults):
    found = faults({"cards.invitation": 'backs = "a\\nb\\u001b[31m\\u2028"'})

    assert found == [r'cards.invitation.backs is "a\nb\x1b[31m\u2028"; use "head-to-head" or "head-to-toe"']


def test_long_value_is_cut(faults):
    found = faults({"cards.invitation": f'backs = "{"long" * 100}"'})

    assert len(found[0]) < 150


def test_a_missing_name_of_a_table_names_those_that_are_there(faults_in, least):
    text = least.replace('printer = "laser"\n', "") + "[printers.canopy]\nflip = 'short-edge'\n"

    assert 'sheets.letter.printer is missing; write the name of the printer, here printer = "laser" or ' in (
        "\n".join(faults_in(text))
    )


@pytest.mark.parametrize(
    ("heading", "line", "says"),
    [
        ("cards.invitation", 'trim = "5 x 7 mm"', 'is "5 x 7 mm"; did you mean "5 x 7 in" or "5 x 7 cm"?'),
        ("cards.invitation", 'trim = "8,5 x 5,5 mm"', 'did you mean "8,5 x 5,5 in"'),
        ("cards.invitation", 'trim = "148 x 210 cm"', 'did you mean "148 x 210 mm"?'),
        ("sheets.letter", 'size = "8.5 x 11 mm"', 'did you mean "8.5 x 11 in"'),
        ("sheets.letter", 'size = "210 x 297 in"', 'did you mean "210 x 297 mm"?'),
    ],
)
def test_a_size_in_a_unit_that_cannot_be_meant_is_asked_about_and_no_more_is_said_of_it(
    faults_in, least, heading, line, says
):
    key = line.split()[0]
    text = "\n".join(line if one.startswith(f"{key} =") else one for one in least.splitlines())

    (fault,) = faults_in(text)
    assert fault.startswith(f"{heading}.{key}")
    assert says in fault


def test_prices_are_kept_as_they_are_written(changed):
    there = changed({"sheets.letter": "price = 0.12", "printers.laser": "click = 0.035"}, '[service]\nmoney = "EUR"')
    assert there.sheets["letter"].price == Decimal("0.12")
    assert there.printers["laser"].click == Decimal("0.035")
    assert there.service.money == "EUR"


def test_labels_of_the_defaults_are_those_of_every_card_without_its_own(changed):
    defaults = '[defaults]\nlabel = "4 x 6 in"\nbundle = 25'
    tag = '[cards.tag]\ntrim = "2 x 3 in"\nsheet = "letter"\nlabel = "A6"'
    there = changed({}, f"{defaults}\n{tag}")
    found = {name: (show_size(*vars(card.label).values()), card.bundle) for name, card in there.cards.items()}
    assert found == {"invitation": ("101.6 x 152.4 mm", 25), "tag": ("105 x 148 mm", 25)}


def test_of_very_many_faults_the_first_are_told_and_the_number_of_the_others(faults):
    told = faults({}, "[service]\n" + "".join(f"k{number} = 1\n" for number in range(1000)))
    assert len(told) == 51
    assert told[-1] == "950 more lines are wrong; correct these first"
