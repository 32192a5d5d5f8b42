"""What a ticket keeps of the settings can be had again, to the last digit."""

import tomllib
from fractions import Fraction

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from watcher.settings.card import CardSettings
from watcher.settings.fingerprint import SENDING
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.settings.starter import STARTERS, starter_text
from watcher.settings.to_toml import SheetSetup, read_settings, what_changed, write_settings
from watcher.settings.values import parse_shift, show_exact

EVERY_KEY = {
    "cards.invitation": 'fold = "left"\nbleed = "1/8 in"\nleast_bleed = "1/3 mm"\nart_bleed = "9 pt"\nsafe = "0.1 in"\n'
    'backs = "head-to-head"\nquantity = 7\novers = "2.5 %"\ncommon_back = "our back.pdf"\nshape_mismatch = "pad"\n'
    'back_quarter = "left"\nmake_bleed = "extend"\nwarn_ppi = 301\nhold_ppi = 299\napprove = true\ncorner = "2 mm"\n'
    'envelope = "A7 envelope"\nsequence = "stacks"',
    "sheets.letter": 'unprintable = ["1 mm", "2 mm", "1/3 in", "5 pt"]\nunprintable_back = "4.2 mm"\ngutter = "1 pt"\n'
    'marks = "none"\nslug = false\nmixed_turns = false\nprefer = "fewest cuts"\ncopies = "pages"\npaper = "cream"\n'
    'thickness = "0.35 mm"\ngrain = "short"\nregister_crosses = true\nmark_weight = "0.3 pt"\ncutter = "mine"\n'
    'gang = true\ngang_wait = "1.5 h"\ngang_layouts = 2',
    "printers.laser": 'kind = "inkjet"\nduplex = "manual"\nfeed = "long-edge"\nlead = "top"\nguide = "left"\n'
    'reload = "face up"\nbacks_order = "n-to-1"\ndialog_flip = "short-edge"\nink_limit = "280 %"',
}
CUTTER = '[cutters.mine]\nkind = "trimmer"\npile = "2 sheets"\nleast_gauge = "1/7 in"'


def setup(settings: Settings, card_name: str) -> SheetSetup:
    card = settings.card(card_name)
    sheet = settings.sheet_for(card)
    return SheetSetup(card=card, sheet=sheet, printer=settings.printer_for(sheet), cutter=settings.cutter_for(sheet))


def through_a_file(written: SheetSetup) -> SheetSetup:
    return read_settings(tomllib.loads(tomli_w.dumps(write_settings(written))))


@pytest.mark.parametrize("kind", STARTERS)
def test_every_card_of_the_starters_comes_back_the_same(kind, tmp_path):
    (tmp_path / "settings.toml").write_text(starter_text(kind))
    settings = load_settings(tmp_path / "settings.toml")
    for name in settings.cards:
        assert what_changed(through_a_file(setup(settings, name)), setup(settings, name)) == ()
        assert through_a_file(setup(settings, name)) == setup(settings, name)


def test_every_key_comes_back_the_same(changed):
    before = setup(changed(EVERY_KEY, CUTTER), "invitation")
    card = before.card.model_copy(
        update={"common_back": before.card.common_back.relative_to(before.card.common_back.parent)}
    )
    assert through_a_file(before) == SheetSetup(
        card=card, sheet=before.sheet, printer=before.printer, cutter=before.cutter
    )


def test_no_key_has_been_forgotten_here(changed):
    """A key that is added to the settings must be written to above, so that the tests see it come back."""
    here = changed(EVERY_KEY, CUTTER)
    left_out = {
        (kind.__name__, key)
        for kind, table in (
            (CardSettings, here.cards["invitation"]),
            (SheetSettings, here.sheets["letter"]),
            (PrinterSettings, here.printers["laser"]),
        )
        for key in kind.model_fields
        if key not in table.model_fields_set
    }
    assert left_out == {
        ("CardSettings", "common_front"),
        ("CardSettings", "sides"),
        ("CardSettings", "paper_edge"),
        ("CardSettings", "label"),  # these four are those of the day, never kept
        ("CardSettings", "bundle"),
        ("SheetSettings", "price"),
        ("PrinterSettings", "click"),
        ("PrinterSettings", "output_profile"),
        ("PrinterSettings", "convert"),
        ("PrinterSettings", "align"),
        *(
            (kind.__name__, key)
            for kind in (SheetSettings, PrinterSettings)
            for key in SENDING & kind.model_fields.keys()
        ),
    }


def test_how_sheets_reach_the_printer_is_in_no_ticket(changed):
    """An address, a certificate or where a password lies is nobody's business who gets a ticket."""
    queue = (
        'queue = "ipps://127.0.0.1/ipp/print"\nsend = "made"\nlogin_file = "/etc/x"\nfingerprint = "' + "0f" * 32 + '"'
    )
    tray = 'tray = "main"\nstock = "cardstock"\nquality = "high"'
    with_queue = setup(changed({"printers.laser": queue, "sheets.letter": tray}), "invitation")
    assert with_queue.printer.model_fields_set | with_queue.sheet.model_fields_set >= SENDING
    assert all(part.keys() & SENDING == set() for part in write_settings(with_queue).values())


@given(st.fractions(min_value=-50, max_value=50, max_denominator=10**6))
def test_any_length_comes_back_exactly(length):
    assert parse_shift(f"{show_exact(length)} mm") == length


def test_a_negative_number_is_written_in_full():
    assert [show_exact(Fraction(number)) for number in ("-0.3", "-12", "-1/3")] == ["-0.3", "-12", "-1/3"]


def test_what_a_later_version_added_is_passed_over(load):
    tables = write_settings(setup(load(), "invitation"))
    tables["card"]["varnish"] = "gloss"
    assert read_settings(tables) == setup(load(), "invitation")


@pytest.mark.parametrize("tables", [None, 3, {}, {"card": {}}, {"card": {"name": "a", "trim": "5 x 7", "sheet": "b"}}])
def test_what_is_no_table_of_ours_is_refused(tables):
    with pytest.raises(ValueError, match="settings|table"):
        read_settings(tables)


def test_changes_are_told_in_plain_words(load, changed):
    before = setup(load(), "invitation")
    now = setup(
        changed(
            {
                "cards.invitation": 'bleed = "0.125 in"\nleast_bleed = "0 mm"\nquantity = 9\ncommon_back = "b.pdf"',
                "sheets.letter": 'paper = "cream"\nslug = false\nunprintable = "4 mm"',
                "printers.laser": 'duplex = "manual"',
            }
        ),
        "invitation",
    )
    assert what_changed(before, now) == (
        "bleed of the card 0 mm -> 3.175 mm",
        "common back of the card not set -> b.pdf",
        "rim it cannot print of the sheet 6.35 mm, 6.35 mm, 6.35 mm, 6.35 mm -> 4 mm, 4 mm, 4 mm, 4 mm",
        "slug of the sheet yes -> no",
        "paper of the sheet not set -> cream",
        "duplex of the printer automatic -> manual",
    )


def test_a_ticket_of_an_earlier_version_may_have_four_layouts(load):
    """Settings allow two kinds of sheet in a run now; once they allowed four."""
    tables = write_settings(setup(load(), "invitation"))
    tables["sheet"]["gang_layouts"] = 4
    assert read_settings(tables).sheet.gang_layouts == 2
