"""What a measurement comes to is said and kept with all that it was measured by."""

from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from functools import partial

import pytest

from watcher.align.register.results import describe_change, need_flip, save_fit
from watcher.errors import WrongUsage
from watcher.layout.geometry import Point
from watcher.layout.register.alignment import Correction
from watcher.layout.register.fit import fit_register
from watcher.layout.register.readings import ReadBy, Reading
from watcher.terms import Flip

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)


@pytest.fixture
def session(open_now):
    return partial(open_now, "laser", "letter")


def fit_of(session, *rights):
    """Fit sheets on which mark 1 alone was read: so far to the right, and half a millimetre up."""
    sheets = [
        [Reading(mark=mark.number, place=mark.back, right=Fraction(right), up=Fraction("0.5"))]
        for right in rights
        for mark in [session.target.marks[0]]
    ]
    return fit_register(sheets, session.sheet.size)


def test_a_printer_whose_flip_is_not_known_is_refused(session):
    unknown = session()
    unknown = replace(unknown, printer=unknown.printer.model_copy(update={"flip": None}))
    with pytest.raises(WrongUsage, match="does not say how laser turns a sheet"):
        need_flip(unknown)


def test_what_is_kept_says_what_it_was_measured_by(session, said):
    of = session()
    save_fit(of, fit_of(of, "0.7", "0.9"), ReadBy.EYE)
    (kept,) = of.history
    assert kept.correction == Correction(shift=Point(Fraction("0.8"), Fraction("0.5")))
    assert (kept.made_at, kept.sheets, kept.marks, kept.read_by) == (NOON, 2, 1, str(ReadBy.EYE))
    assert kept.scatter_worst_mm == pytest.approx(0.2, abs=1e-4)
    assert (kept.flip, kept.duplex, kept.size) == (Flip.LONG_EDGE, of.printer.duplex, of.sheet.size)
    assert len(said) == 1


def test_one_sheet_keeps_no_scatter(session):
    of = session()
    save_fit(of, fit_of(of, "0.8"), ReadBy.EYE)
    assert of.measured.scatter_mm is None


def test_what_the_settings_say_is_named_as_what_wins(session, said, shop):
    file = shop / "settings.toml"
    file.write_text(file.read_text() + '[printers.laser.align.letter]\nshift = ["1 mm", "0 mm"]\n')
    of = session()
    save_fit(of, fit_of(of, "0.8"), ReadBy.EYE)
    assert "[printers.laser.align.letter] in settings.toml wins over it" in said[-1]


def test_a_change_is_told_from_the_last_of_the_same_turning(session):
    of = session()
    save_fit(of, fit_of(of, "0.8"), ReadBy.EYE)
    (kept,) = of.history
    turned = replace(kept, flip=Flip.SHORT_EDGE, correction=Correction(shift=Point(9, 9)))
    now = Correction(shift=Point(Fraction("1.8"), Fraction("0.5")))
    (line,) = describe_change(of, [kept, turned], now)
    assert "moved by up to 1.00 mm" in line
    assert describe_change(of, [turned], now) == []
