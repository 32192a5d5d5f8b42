"""A correction that eats printable bleed: a warning with what is left, held below half of it."""

from fractions import Fraction

import pytest

from tests.layout.a_request import plain_request
from watcher.layout.geometry import Point
from watcher.layout.lay_out import lay_out
from watcher.layout.register.alignment import Correction
from watcher.terms import Flip, Level
from watcher.units import Length
from watcher.work.alignment_check import correction_findings

EIGHTH = Fraction("3.175")


def findings(up: str, least_bleed: Fraction = EIGHTH, *, bleed: Fraction = EIGHTH, two_sided: bool = True):
    """5 x 7 in, two up on letter with a quarter-inch rim: nothing to spare upwards."""
    flip = Flip.LONG_EDGE if two_sided else None
    request = plain_request(bleed=bleed, least_bleed=least_bleed, two_sided=two_sided, flip=flip)
    correction = Correction(shift=Point(Fraction(0), Fraction(up)))
    return correction_findings(lay_out(request), correction, request, "laser", "letter")


@pytest.mark.parametrize(
    ("up", "level"), [("0.5", Level.WARN), ("-1.58", Level.WARN), ("1.6", Level.HOLD), ("-4", Level.HOLD)]
)
def test_half_of_the_bleed_is_the_line(up, level):
    """Half of 3.175 mm is 1.5875 mm."""
    (finding,) = findings(up)
    assert finding.level is level


@pytest.mark.parametrize(
    ("bleed", "words"),
    [(EIGHTH, "2.675 mm of the 3.175 mm of bleed"), (Length(EIGHTH, "in"), "0.1053 in of the 0.125 in of bleed")],
)
def test_what_is_left_is_said_in_the_unit_in_which_the_bleed_was_written(bleed, words):
    (finding,) = findings("0.5", bleed=bleed)
    assert f"{words} around them is left" in finding.message
    assert "laser on letter" in finding.message


def test_a_card_that_is_cut_off_is_said_to_be():
    (finding,) = findings("-4")
    assert "cut off by 0.825 mm" in finding.message


@pytest.mark.parametrize(("up", "least_bleed"), [("0", EIGHTH)])
def test_a_correction_that_takes_nothing_away_is_silent(up, least_bleed):
    assert findings(up, least_bleed) == ()


def test_a_sheet_without_backs_is_silent():
    assert findings("3", two_sided=False) == ()
