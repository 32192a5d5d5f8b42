"""Measuring by readings or scans that are given: what is kept, and what is refused before anything is."""

from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest

from watcher.align.register import measure
from watcher.align.register.label import Use
from watcher.align.register.options import RegisterOptions
from watcher.align.register.scans import ScannedSheet
from watcher.errors import ExitCode, WrongUsage
from watcher.layout.register.readings import Reading
from watcher.settings.alignment import save_alignment
from watcher.settings.alignment_file import TurnTest

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
READINGS = tuple(f"{mark}:+0.8,+0.5" for mark in range(1, 7))
SCANS = tuple(Path(f"{number}-{side}.png") for number in (1, 2) for side in ("front", "back"))


@pytest.fixture
def session(open_now):
    return open_now("laser", "letter")


@pytest.fixture
def scanned(session, monkeypatch):
    """Have scans read as sheets of these uses, every mark so far to the right."""

    def as_sheets(*uses, right="0.1"):
        sheets = []
        for use in uses:
            marks = session.target.marks
            read = [Reading(mark=one.number, place=one.back, right=Fraction(right), up=Fraction(0)) for one in marks]
            sheets.append(ScannedSheet(readings=tuple(read), missing=(), corners=4, use=use, run=3))
        left = iter(sheets)
        monkeypatch.setattr(measure, "open_scan", lambda path: path)
        monkeypatch.setattr(measure, "read_scans", lambda *_, **__: next(left))

    return as_sheets


def test_averages_of_several_sheets_are_kept_as_of_so_many(session):
    options = RegisterOptions(readings=READINGS, sheets_measured=4)
    assert measure.measure_register(session, options) is ExitCode.WELL
    assert session.measured.sheets == 4


def test_another_number_of_sheets_than_was_read_is_refused(session):
    options = RegisterOptions(readings=(*READINGS, *READINGS), sheets_measured=3)
    with pytest.raises(WrongUsage, match="readings are of 2 sheets, but --sheets-measured says 3"):
        measure.measure_register(session, options)


def test_a_sheet_that_turns_otherwise_is_measured_only_when_that_is_asked_for(session):
    save_alignment(session.settings, TurnTest(printer="laser", made_at=NOON, found={"flip": "short-edge"}))
    with pytest.raises(WrongUsage, match="laser turns the sheet otherwise"):
        measure.measure_register(session, RegisterOptions(readings=READINGS))
    assert session.measured is None
    options = RegisterOptions(readings=READINGS, keep_doubtful=True)
    assert measure.measure_register(session, options) is ExitCode.WELL
    assert session.measured is not None


def test_targets_and_proofs_are_not_measured_together(session, scanned):
    scanned(Use.TARGET, Use.PROOF)
    with pytest.raises(WrongUsage, match="Some of these sheets are targets and some are proofs"):
        measure.measure_register(session, RegisterOptions(scans=SCANS))


@pytest.mark.parametrize(("right", "code"), [("0.2", ExitCode.WELL), ("0.4", ExitCode.HELD)])
def test_a_proof_is_judged_and_never_kept(session, scanned, right, code):
    """0.3 mm at a corner is right (our own choice)."""
    scanned(Use.PROOF, Use.PROOF, right=right)
    assert measure.measure_register(session, RegisterOptions(scans=SCANS)) is code
    assert session.measured is None
