"""Folders that lie apart, and names that are there."""

import pytest

TWO_SIDED = (
    'printers.laser.flip is missing; the card "invitation" has two sides: '
    'write flip = "long-edge" or flip = "short-edge"'
)


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
