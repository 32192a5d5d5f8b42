"""Sheets that are printed without being asked for anything: which files, and whose correction a proof says it has."""

from datetime import UTC, datetime
from functools import partial

import pytest

from watcher.align import printouts
from watcher.align.session import Session
from watcher.errors import WrongUsage
from watcher.layout.geometry import Point
from watcher.layout.register.alignment import Correction
from watcher.settings.alignment import save_alignment
from watcher.settings.alignment_file import Alignment

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
MEASURED = Correction(shift=Point(1, 0))
BY_HAND = '[printers.press.align.sra3]\nshift = ["2 mm", "0 mm"]\n'


@pytest.fixture
def session(open_now):
    return partial(open_now, "press", "sra3")


@pytest.fixture
def proofs(monkeypatch):
    """What proofs were asked for, none of them drawn."""
    asked = []
    monkeypatch.setattr(Session, "write_proof", lambda _, *of: asked.append(of) or [])
    return asked


def measure(session):
    of = session()
    measured = {"size": of.sheet.size, "flip": of.printer.flip, "duplex": of.printer.duplex, "correction": MEASURED}
    save_alignment(of.settings, Alignment(printer="press", sheet="sra3", made_at=NOON, **measured))


def test_turn_test_and_target_are_written_and_their_paths_said(session, said, shop):
    printouts.print_test_sheets(session())
    written = sorted(str(path) for path in (shop / "align").iterdir())
    assert sorted(line.strip() for line in said[-2:]) == written
    assert [path.rpartition("_")[2] for path in written] == ["register-target.pdf", "turn-test.pdf"]


def test_a_proof_without_a_correction_is_refused(session, proofs):
    with pytest.raises(WrongUsage, match="no correction for press on sra3"):
        printouts.print_proof(session())
    assert proofs == []


def test_a_proof_of_what_was_measured_has_its_date(session, proofs):
    measure(session)
    printouts.print_proof(session())
    assert proofs == [(MEASURED, "2026-05-01")]


def test_a_proof_of_what_the_settings_say_names_them_even_when_more_was_measured(session, proofs, shop):
    measure(session)
    file = shop / "settings.toml"
    file.write_text(file.read_text() + BY_HAND)
    printouts.print_proof(session())
    assert proofs == [(Correction(shift=Point(2, 0)), "settings.toml")]
