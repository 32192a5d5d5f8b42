"""What must agree between settings."""

import pytest

from watcher.settings.relations import CHECKS


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        (
            {"cards.invitation": "hold_ppi = 226"},
            "cards.invitation.hold_ppi is 226; use 225 or less, which is warn_ppi",
        ),
        (
            {"cards.invitation": "warn_ppi = 149"},
            "cards.invitation.warn_ppi is 149; use 150 or more, which is hold_ppi, or write a lower hold_ppi too",
        ),
        (
            {"cards.invitation": 'bleed = "0.125 in"\nleast_bleed = "3.2 mm"'},
            'cards.invitation.least_bleed is "3.2 mm"; use 0.125 in or less, which is bleed',
        ),
        (
            {"cards.invitation": 'least_bleed = "1 mm"'},
            'cards.invitation.least_bleed is "1 mm"; use 0 mm or less, which is bleed',
        ),
        (
            {"cards.invitation": 'safe = "2.5 in"'},
            'cards.invitation.safe is "2.5 in"; use less than 2.5 in, half the smaller side of the card',
        ),
        (
            {"cards.invitation": 'sides = 1\ncommon_back = "b.pdf"'},
            'cards.invitation.common_back is "b.pdf"; leave it out, or write sides = 2; a card of one side has no back',
        ),
        (
            {"cards.invitation": 'sides = 1\ncommon_front = "f.pdf"'},
            'cards.invitation.common_front is "f.pdf"; leave it out, or write sides = 2; '
            "with one side nothing would be left",
        ),
        (
            {"cards.invitation": 'common_back = "b.pdf"\ncommon_front = "f.pdf"'},
            'cards.invitation.common_back is "b.pdf"; leave out this or common_front, for one side must come',
        ),
        (
            {"printers.laser": 'output_profile = "press.icc"'},
            'printers.laser.output_profile is "press.icc"; the file is not there; name the colour profile (.icc) of '
            "the press, or leave this out",
        ),
        (
            {"printers.laser": "convert = true"},
            "printers.laser.convert is true; write the colour profile of the press too: output_profile",
        ),
        (
            {"cards.invitation": 'sides = 1\nback_quarter = "left"'},
            'cards.invitation.back_quarter is "left"; leave it out, or write sides = 2; a card of one side has no back',
        ),
        (
            {"cards.invitation": 'bleed = "3 mm"\nmake_bleed = "none"', "sheets.letter": 'marks = "none"'},
            'cards.invitation.make_bleed is "none"; use "mirror" or "extend", or write marks = "crop" for the sheet '
            '"letter"; without bleed the cut must be marked',
        ),
        (
            {"sheets.letter": 'unprintable = "4.25 in"'},
            'sheets.letter.unprintable is "4.25 in"; use less; nothing is left of 215.9 x 279.4 mm',
        ),
        (
            {"sheets.letter": 'unprintable_back = ["5 in", "0 mm", "6 in", "0 mm"]'},
            'sheets.letter.unprintable_back is ["5 in", "0 mm", "6 in", "0 mm"]; use less; '
            "nothing is left of 215.9 x 279.4 mm",
        ),
        (
            {"printers.laser": 'lead = "top"\nguide = "bottom"'},
            'printers.laser.guide is "bottom"; use "left" or "right", an edge that meets lead = "top"',
        ),
        (
            {"printers.laser": 'lead = "left"\nguide = "left"'},
            'printers.laser.guide is "left"; use "top" or "bottom", an edge that meets lead = "left"',
        ),
        (
            {"printers.laser": "align = {leter = {turn = 1}}"},
            'printers.laser.align.leter is a table; no sheet has this name; use "letter"',
        ),
        (
            {"sheets.letter": 'cutter = "knife"'},
            'sheets.letter.cutter is "knife"; write a table [cutters.knife] first',
        ),
        (
            {"cards.invitation": 'fold = "top"\nbacks = "head-to-head"'},
            'cards.invitation.backs is "head-to-head"; leave it out; fold = "top" opens head-to-toe by itself',
        ),
        (
            {"cards.invitation": 'fold = "left"\nbacks = "head-to-toe"'},
            'cards.invitation.backs is "head-to-toe"; leave it out; fold = "left" opens head-to-head by itself',
        ),
        (
            {"cards.invitation": 'corner = "2.6 in"'},
            'cards.invitation.corner is "2.6 in"; use 2.5 in or less, half the smaller side of the card',
        ),
        (
            {"cards.invitation": 'envelope = "a7"'},
            'cards.invitation.envelope is "a7"; this is a sheet of paper; write "A7 envelope", or its width x height',
        ),
    ],
    ids=range(22),
)
def test_what_does_not_agree_is_told_once(faults, lines, fault):
    assert faults(lines) == [fault]


@pytest.mark.parametrize(
    "lines",
    [
        {"cards.invitation": "hold_ppi = 225"},
        {"cards.invitation": "warn_ppi = 100\nhold_ppi = 100"},
        {"cards.invitation": 'bleed = "3 mm"\nleast_bleed = "3 mm"'},
        {"cards.invitation": 'safe = "63.4 mm"'},
        {"cards.invitation": 'common_back = "b.pdf"'},
        {"cards.invitation": 'paper_edge = "no"'},
        {"sheets.letter": 'unprintable = "4.2 in"'},
        {"sheets.letter": 'unprintable = "0 mm"'},
        {"printers.laser": 'lead = "top"\nguide = "right"'},
        {"printers.laser": "align = {LETTER = {turn = 1}}"},
        {"cards.invitation": 'fold = "top"\nbacks = "head-to-toe"'},
        {"cards.invitation": 'corner = "2.5 in"'},
        {"cards.invitation": 'envelope = "A7 envelope"'},
    ],
    ids=range(13),
)
def test_what_agrees_to_the_last_unit_is_taken(faults, lines):
    assert faults(lines) == []


def test_small_card_needs_a_smaller_safe_zone(faults_in, least):
    found = faults_in(least.replace('"5 x 7 in"', '"6 x 50 mm"'))

    assert found == ['cards.invitation.trim is "6 x 50 mm"; write a safe of less than 3 mm too; 3 mm leaves nothing']


def test_small_sheet_needs_a_smaller_rim(faults_in, least):
    found = faults_in(least.replace('size = "letter"', 'size = "12 x 80 mm"'))

    assert found == [
        'sheets.letter.size is "12 x 80 mm"; write a smaller unprintable too; nothing is left of 12 x 80 mm'
    ]


def test_card_that_does_not_fit_its_sheet_is_no_fault(faults_in, least):
    """`print-folder check` shows that; another sheet may be asked for by a ticket."""
    assert faults_in(least.replace('"5 x 7 in"', '"20 x 30 in"')) == []


def test_sheet_that_is_not_there(faults_in, least):
    found = faults_in(least.replace('sheet = "letter"', 'sheet = "leter"'))

    assert found == ['cards.invitation.sheet is "leter"; use "letter"']


def test_no_sheet_at_all(faults_in):
    found = faults_in('[cards.invitation]\ntrim = "A5"\nsheet = "letter"')

    assert found == ['cards.invitation.sheet is "letter"; write a table [sheets.letter] first']


def test_printer_that_is_not_there(faults_in, least):
    found = faults_in(least.replace("[printers.laser]", "[printers.inkjet]"))

    assert found == ['sheets.letter.printer is "laser"; use "inkjet"']


def test_no_card_at_all(faults_in):
    assert faults_in("") == ["no card is set up; write at least one, such as [cards.invitation] with trim and sheet"]


def test_default_card_that_is_written_must_be_there(faults):
    assert faults({}, '[defaults]\ncard = "menu"') == ['defaults.card is "menu"; use "invitation"']


def test_default_card_left_at_its_default_may_be_missing(faults_in, least):
    assert faults_in(least.replace("[cards.invitation]", "[cards.menu]")) == []


TWO_SIDED = (
    'printers.laser.flip is missing; the card "invitation" has two sides: '
    'write flip = "long-edge" or flip = "short-edge"'
)


def test_two_sided_card_needs_a_flip(faults_in, least):
    more = '[cards.menu]\ntrim = "A5"\nsheet = "letter"'  # a second two-sided card makes no second fault

    assert faults_in(least.replace('flip = "long-edge"', more)) == [TWO_SIDED]


def test_one_sided_card_needs_no_flip(faults_in, least):
    text = least.replace('flip = "long-edge"', "").replace("[cards.invitation]", "[cards.invitation]\nsides = 1")

    assert faults_in(text) == []


def test_word_for_both_sides(faults):
    found = faults({}, '[names]\nback = ["Back", "FRONT"]')

    assert found == ['names.back is ["Back", "FRONT"]; use other words than those of front; "FRONT" is in both']


def test_word_that_is_a_default_of_the_other_side(faults):
    found = faults({}, '[names]\nfront = ["front", "verso"]')

    assert found == ['names.front is ["front", "verso"]; use other words than those of back; "verso" is in both']


@pytest.mark.parametrize(
    ("folders", "key"),
    [
        ('outbox = "inbox"', "outbox"),
        ('outbox = "inbox/done"', "outbox"),
        ('inbox = "outbox/new"', "inbox"),
        ('state = "inbox/state"', "state"),
        ('state = "outbox/state"', "state"),
        ('archive = "./held/../held"', "archive"),
        ('archive = "HELD"', "archive"),
        ('held = "archive"\narchive = "archive"', "archive"),
        ('inbox = "outbox/../state/.."', "inbox"),
    ],
)
def test_folders_must_lie_apart(faults, folders, key):
    found = faults({}, f"[folders]\n{folders}")

    assert found
    assert all(fault.startswith(f"folders.{key} is ") for fault in found)
    assert "nor inside it, nor around it" in found[0]


def test_folders_that_meet_through_a_link(faults, tmp_path):
    (tmp_path / "inbox").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "inbox")

    assert len(faults({}, '[folders]\noutbox = "link/out"')) == 1


def test_settings_file_must_lie_outside(faults):
    text = '[folders]\ninbox = "."\noutbox = "/x/out"\nheld = "/x/held"\narchive = "/x/archive"\nstate = "/x/state"'

    assert faults({}, text) == ['folders.inbox is "."; use a folder that does not hold settings.toml itself']


@pytest.mark.parametrize("name", ["A1", "a2", "A6", "A7", "A6 landscape"])
@pytest.mark.parametrize("size", ["letter", "8.5 x 11 in", "13 x 19", "na_letter_8.5x11in"])
def test_bare_name_on_inch_paper_is_refused(faults_in, least, name, size):
    found = faults_in(least.replace('"5 x 7 in"', f'"{name}"').replace('size = "letter"', f'size = "{size}"'))

    assert len(found) == 1
    assert "on inch paper this may be ISO A" in found[0]


@pytest.mark.parametrize("name", ["A2", "A6", "A7"])
@pytest.mark.parametrize("size", ["A4", "SRA3", "450 x 640 mm"])
def test_bare_name_on_metric_paper_is_iso(load, least, name, size):
    settings = load(least.replace('"5 x 7 in"', f'"{name}"').replace('size = "letter"', f'size = "{size}"'))
    iso = load(least.replace('"5 x 7 in"', f'"ISO {name}"')).cards["invitation"]

    assert settings.cards["invitation"].trim == iso.trim


@pytest.mark.parametrize("line", ['send = "made"', 'login_file = "/etc/login"', f'fingerprint = "{"0f" * 32}"'])
def test_what_belongs_to_a_queue_wants_its_address(faults, line):
    (found,) = faults({"printers.laser": line})

    assert found.startswith(f"printers.laser.{line.split()[0]} is")
    assert 'queue = "ipps://HOST/ipp/print"' in found


def test_a_starter_line_at_its_default_wants_none(faults):
    assert faults({"printers.laser": 'send = "asked"'}) == []


def test_a_certificate_is_trusted_only_where_one_is_shown(faults):
    lines = f'fingerprint = "{"0f" * 32}"\nqueue = '

    (found,) = faults({"printers.laser": lines + '"ipp://127.0.0.1/ipp/print"'})
    assert "use ipps://" in found
    assert faults({"printers.laser": lines + '"ipps://127.0.0.1/ipp/print"'}) == []


@pytest.mark.parametrize("place", ["login", "inbox/login", "../elsewhere/login"])
def test_a_password_lies_outside_every_folder_that_others_may_see(faults, place):
    lines = f'queue = "ipps://127.0.0.1/ipp/print"\nlogin_file = "{place}"'

    (found,) = faults({"printers.laser": lines}, '[folders]\noutbox = "../elsewhere"')
    assert "outside the print folder" in found


def test_a_password_beside_the_print_folder_is_well(faults):
    assert faults({"printers.laser": 'queue = "ipps://h/ipp/print"\nlogin_file = "../login"'}) == []


def test_checks_leave_out_what_is_refused_by_itself(faults):
    """One mistake makes one fault: no check looks at a value that could not be read."""
    lines = {"cards.invitation": 'bleed = "3"\nleast_bleed = "9 mm"\nwarn_ppi = "low"\nhold_ppi = 900'}

    assert [fault.split(" is ")[0] for fault in faults(lines)] == [
        "cards.invitation.bleed",
        "cards.invitation.warn_ppi",
    ]


def test_each_check_says_what_it_holds():
    assert all(check.__doc__ for check in CHECKS)
    assert len({check.__name__ for check in CHECKS}) == len(CHECKS)
