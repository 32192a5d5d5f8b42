"""The defaults of a printer, and corrections written by hand."""

from fractions import Fraction

import pytest

from watcher.settings.printer import AlignSettings, PrinterSettings
from watcher.terms import Duplex, Feed, PrinterKind, Send

PRINTER_DEFAULTS = {
    "kind": PrinterKind.LASER,
    "dialog_flip": None,
    "duplex": Duplex.AUTOMATIC,
    "feed": Feed.SHORT_EDGE,
    "lead": None,
    "guide": None,
    "reload": None,
    "backs_order": None,
    "output_profile": None,
    "convert": False,
    "ink_limit": 300,
    "queue": None,
    "send": Send.ASKED,
    "fingerprint": None,
    "login_file": None,
    "click": None,
    "align": {},
}
ALIGN_DEFAULTS = {"shift": (0, 0), "turn": 0, "scale": (1, 1)}


@pytest.mark.parametrize(("key", "value"), PRINTER_DEFAULTS.items())
def test_default_of_a_printer(load, key, value):
    assert getattr(load().printers["laser"], key) == value


@pytest.mark.parametrize(("key", "value"), ALIGN_DEFAULTS.items())
def test_default_of_a_correction(key, value):
    assert getattr(AlignSettings(), key) == value


def test_correction_by_hand(changed):
    more = '[printers.laser.align.letter]\nshift = ["0.5 mm", "-0.3 mm"]\nturn = -0.1\nscale = [1.001, 1]'
    settings = changed({}, more)
    align = settings.printers["laser"].align_for(settings.sheets["letter"])

    assert align.shift == (Fraction("0.5"), Fraction("-0.3"))
    assert (align.turn, align.scale) == (-0.1, (1.001, 1.0))


@pytest.mark.parametrize(("shift", "count"), [("50 mm", 0), ("-50.1 mm", 1)])
def test_a_correction_by_hand_shifts_by_five_centimetres_at_most(faults, shift, count):
    """Our own choice: no printer is off by more."""
    found = faults({}, f'[printers.laser.align.letter]\nshift = ["0 mm", "{shift}"]')
    assert ["use 50 mm or less" in fault for fault in found] == [True] * count


def test_the_table_of_defaults_is_complete():
    assert PrinterSettings.model_fields.keys() - PRINTER_DEFAULTS.keys() == {"name", "flip"}
