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
