"""The session: which sheet is meant, how to print, and where test sheets are put."""

from datetime import UTC, datetime

import pytest

from watcher.align.dialogue import Dialogue
from watcher.align.session import open_session
from watcher.errors import SettingsRefused, WrongUsage

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
SILENT = Dialogue(say=lambda _: None, listen=input)


def session(settings, printer="laser", sheet="letter"):
    return open_session(settings, printer, sheet, SILENT, NOON)


def test_names_are_found_whatever_their_case(settings):
    assert session(settings, "LASER", "Letter").name == "laser on letter"


def test_the_only_sheet_of_a_printer_need_not_be_named(settings):
    assert session(settings, "press", None).sheet.name == "sra3"


@pytest.mark.parametrize(
    ("printer", "sheet", "said"),
    [
        ("laser", None, "prints on letter, a4, small, wide; say which with --sheet NAME"),
        ("laser", "sra3", "The sheet sra3 is printed on press, not on laser"),
        ("inkjet", None, 'There is no printer "inkjet"'),
        ("laser", "a5", 'There is no sheet "a5"'),
    ],
)
def test_what_is_not_meant_is_refused(settings, printer, sheet, said):
    with pytest.raises(WrongUsage, match=said):
        session(settings, printer, sheet)


def test_a_damaged_alignment_file_is_refused_at_once(settings, shop):
    (shop / "alignment.toml").write_text("[[")
    with pytest.raises(SettingsRefused, match="is damaged"):
        session(settings)


def test_a_stack_turned_by_hand_is_printed_without_duplex(settings):
    assert session(settings).how_to_print() == "at actual size (100 %), never 'fit', two-sided printing off"
    assert "flip on long edge" in session(settings, "press", None).how_to_print()


def test_test_sheets_lie_beside_the_settings_under_plain_names(settings, shop):
    files = session(settings, "press", None).write_turn_test()
    assert files == [shop / "align/press_sra3_turn-test.pdf"]
    assert files[0].read_bytes().startswith(b"%PDF-")


def test_targets_of_every_sheet_and_flip_are_known(settings):
    known = {(target.sheet_name, target.flip) for target in session(settings).all_targets}
    assert len(known) == 2 * len(settings.sheets)
