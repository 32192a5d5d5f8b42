"""What is shown of a printer's sheets: what was measured, how it moved, and what the turn test found."""

from datetime import UTC, datetime, timedelta

import pytest

from watcher.align.dialogue import Dialogue
from watcher.align.show import show_alignments
from watcher.layout.geometry import Point
from watcher.layout.register.alignment import Correction
from watcher.settings.alignment import save_alignment
from watcher.settings.alignment_file import Alignment, TurnTest
from watcher.settings.load import load_settings

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)


@pytest.fixture
def shown(shop):
    """The lines that are shown of a printer, of one sheet or of all."""

    def show(printer="press", sheet=None):
        said = []
        settings = load_settings(shop / "settings.toml")
        show_alignments(settings, printer, sheet, Dialogue(say=said.append, listen=input), NOON)
        return said

    return show


@pytest.fixture
def measure(settings):
    """Keep a shift to the right for the press, so many days before the day of these tests."""

    def measured(right, days):
        sheet, printer = settings.sheets["sra3"], settings.printers["press"]
        new = Alignment(
            printer="press", sheet="sra3", made_at=NOON - timedelta(days=days), size=sheet.size, flip=printer.flip,
            duplex=printer.duplex, correction=None if right is None else Correction(shift=Point(right, 0)),
        )  # fmt: skip
        save_alignment(settings, new)

    return measured


def test_every_sheet_of_the_printer_is_shown_with_a_line_between(shown):
    lines = shown("laser")
    assert [line.split(":")[0] for line in lines if line.startswith("Printer")] == [
        f"Printer laser, sheet {name}" for name in ("letter", "a4", "small", "wide")
    ]
    assert lines.count("") == 3


def test_nothing_measured_is_said(shown):
    assert shown()[1:] == ["No correction has been measured yet.", "No turn test has been done yet."]


def test_the_last_correction_is_shown_and_how_far_it_is_from_the_one_before(shown, measure):
    measure(1, days=40)
    measure(3, days=10)
    lines = "\n".join(shown())
    assert "moved 3.00 mm" in lines
    assert "Since 2026-03-22 the backs have moved by up to 2.00 mm" in lines


def test_a_correction_that_was_dropped_is_not_compared(shown, measure):
    measure(1, days=40)
    measure(None, days=10)
    assert shown()[1] == "Nothing is kept: what there was, was dropped on 2026-04-21."
    assert not any(line.startswith("Since") for line in shown())


@pytest.mark.parametrize(("flip", "right"), [("long-edge", "agrees"), ("short-edge", "differs from it; do it again")])
def test_a_turn_test_is_held_against_the_settings(shown, settings, flip, right):
    save_alignment(settings, TurnTest(printer="press", made_at=NOON, found={"flip": flip}))
    assert shown()[-1] == f"Turn test of 2026-05-01: flip {flip}; settings.toml {right}."
