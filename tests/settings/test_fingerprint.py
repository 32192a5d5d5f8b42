"""The fingerprint changes with what shapes the product, and with nothing else."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from watcher.settings.card import CardSettings
from watcher.settings.fingerprint import fingerprint as shaping_fingerprint
from watcher.settings.load import load_settings

ALIGN = '[printers.laser.align.letter]\nshift = ["0.5 mm", "0 mm"]'

SHAPING = {
    "cards.invitation": [
        'bleed = "3 mm"',
        'art_bleed = "0 mm"',
        'safe = "4 mm"',
        "sides = 1",
        'backs = "head-to-toe"',
        'common_back = "back.pdf"',
        'common_front = "front.pdf"',
        'shape_mismatch = "crop"',
        'make_bleed = "extend"',
        "warn_ppi = 250",
        "hold_ppi = 100",
        'fold = "left"',
        'corner = "6 mm"',
        'envelope = "A7 envelope"',
    ],
    "sheets.letter": [
        'unprintable = "4 mm"',
        'unprintable_back = "6.35 mm"',
        'gutter = "2 mm"',
        'marks = "none"',
        "slug = false",
        "mixed_turns = false",
        'prefer = "fewest cuts"',
        'copies = "pages"',
        'paper = "card"',
        'thickness = "0.3 mm"',
        'grain = "short"',
        "register_crosses = true",
        'mark_weight = "0.5 pt"',
    ],
    "printers.laser": [
        'duplex = "manual"',
        'feed = "long-edge"',
        'lead = "top"',
        'guide = "left"',
        'reload = "face up"',
        'backs_order = "n-to-1"',
        'dialog_flip = "short-edge"',
        'kind = "inkjet"',
    ],
}


def fingerprint(settings):
    return settings.fingerprint("invitation", "letter")


def test_it_is_a_sha256(load):
    assert re.fullmatch(r"[0-9a-f]{64}", fingerprint(load()))


@pytest.mark.parametrize(("table", "line"), [(table, line) for table, lines in SHAPING.items() for line in lines])
def test_what_shapes_the_product_changes_it(load, changed, table, line):
    assert fingerprint(changed({table: line})) != fingerprint(load())


@pytest.mark.parametrize(
    ("written", "instead"), [('"5 x 7 in"', '"5 x 7.1 in"'), ('size = "letter"', 'size = "legal"'), ("long", "short")]
)
def test_what_must_be_written_changes_it(load, least, written, instead):
    assert fingerprint(load(least.replace(written, instead))) != fingerprint(load())


def test_a_correction_by_hand_changes_it(load, changed):
    assert fingerprint(changed({}, ALIGN)) != fingerprint(load())


def test_the_cutter_of_the_sheet_changes_it(load, changed):
    """Piles and cautions stand in the instructions."""
    named = {"sheets.letter": 'cutter = "mine"'}
    trimmer, scissors = (changed(named, f'[cutters.mine]\nkind = "{kind}"') for kind in ("trimmer", "scissors"))

    assert len({fingerprint(settings) for settings in (load(), trimmer, scissors)}) == 3


def test_a_cutter_that_the_sheet_does_not_name_does_not(load, changed):
    assert fingerprint(changed({}, '[cutters.mine]\nkind = "trimmer"')) == fingerprint(load())


def test_a_correction_for_another_sheet_does_not(load, changed):
    other = '[sheets.a4]\nsize = "A4"\nprinter = "laser"\n' + ALIGN.replace("letter", "a4")

    assert fingerprint(changed({}, other)) == fingerprint(load())


@pytest.mark.parametrize("line", ["gang = true", 'gang_wait = "1 day"', "gang_layouts = 2"])
def test_whether_orders_share_sheets_does_not(load, changed, line):
    """How a card looks does not depend on it."""
    assert fingerprint(changed({"sheets.letter": line})) == fingerprint(load())


@pytest.mark.parametrize("line", ["quantity = 50", 'overs = "5 %"'])
def test_what_the_ticket_tells_does_not(load, changed, line):
    assert fingerprint(changed({"cards.invitation": line})) == fingerprint(load())


def test_how_sheets_reach_the_printer_does_not(load, changed):
    lines = 'queue = "ipp://127.0.0.1/ipp/print"\nsend = "made"\nlogin_file = "/etc/login"'
    assert fingerprint(changed({"printers.laser": lines})) == fingerprint(load())


def test_the_sheet_asked_for_counts_not_the_usual_one(load, changed, least):
    a4 = '\n[sheets.a4]\nsize = "A4"\nprinter = "laser"\n'
    usual_letter, usual_a4 = load(least + a4), load(least.replace('sheet = "letter"', 'sheet = "a4"') + a4)

    assert fingerprint(usual_letter) == fingerprint(usual_a4)
    assert usual_letter.fingerprint("invitation", "a4") != fingerprint(usual_letter)


@pytest.mark.parametrize("line", ['safe = "3 mm"', 'bleed = "0 in"', "warn_ppi = 225", 'make_bleed = "mirror"'])
def test_a_default_written_out_is_the_same(load, changed, line):
    assert fingerprint(changed({"cards.invitation": line})) == fingerprint(load())


def test_another_way_of_writing_is_the_same(load, least):
    assert fingerprint(load(least.replace('"5 x 7 in"', '"127 x 177.8 mm"'))) == fingerprint(load())


def test_other_cards_folders_and_service_do_not_count(load, least):
    more = '[service]\nquiet = "1 s"\n[folders]\nstate = "notes"\n[cards.menu]\ntrim = "A5"\nsheet = "letter"'

    assert fingerprint(load(f"{least}\n{more}")) == fingerprint(load())


def test_a_print_folder_that_moved_keeps_it(write, least, tmp_path):
    text = least.replace("[cards.invitation]", '[cards.invitation]\ncommon_back = "back.pdf"')
    (tmp_path / "elsewhere").mkdir()
    here, there = (load_settings(write(text, name)) for name in ("settings.toml", "elsewhere/settings.toml"))

    assert fingerprint(here) == fingerprint(there)


def test_it_is_the_same_in_every_process(write, load):
    """Hash seeds, working folders and processes leave no trace."""
    path = write()
    code = (
        "import sys, pathlib; from watcher.settings.load import load_settings; "
        "print(load_settings(pathlib.Path(sys.argv[1])).fingerprint('invitation', 'letter'))"
    )
    there = subprocess.run(
        [sys.executable, "-c", code, path],
        env={
            **os.environ,
            "PYTHONHASHSEED": "1" if os.environ.get("PYTHONHASHSEED") != "1" else "2",
            "PYTHONPATH": os.pathsep.join([str(Path.cwd()), *filter(None, sys.path)]),
        },
        capture_output=True,
        text=True,
        check=True,
    )

    assert there.stdout.strip() == fingerprint(load())


def test_a_setting_that_comes_later_changes_nothing_at_its_default(load):
    """A newer version with more settings still knows an older order as made the same way."""

    class LaterCard(CardSettings):
        corners: str = "square"

    settings = load()
    card, sheet, printer = settings.cards["invitation"], settings.sheets["letter"], settings.printers["laser"]
    later = LaterCard(**dict(card))

    assert shaping_fingerprint(later, sheet, printer, None) == fingerprint(settings)
    rounded = later.model_copy(update={"corners": "round"})
    assert shaping_fingerprint(rounded, sheet, printer, None) != fingerprint(settings)
