"""Words that the instructions share: lengths as a ruler reads them, days, cautions."""

from datetime import date
from fractions import Fraction

import pytest

from tests.instructions.an_order import LETTER
from watcher.instructions import words
from watcher.settings.values import parse_size
from watcher.terms import CutterKind


@pytest.mark.parametrize(
    ("mm", "said"),
    [("19.05", "3/4 in"), ("196.85", "7 3/4 in"), ("254", "10 in"), ("3", "about 1/8 in"), ("0", "0 in")],
)
def test_inches_are_those_of_a_ruler(mm, said):
    """One inch is 25.4 mm by definition (the international inch of 1959)."""
    assert words.inches_to_32nds(Fraction(mm)) == said


def test_words_from_people_are_one_line_and_no_mark_up():
    assert words.plain(" a <b>\n & c ") == "a &lt;b&gt; &amp; c"


def test_lengths_of_a_card_in_inches_have_these_first():
    assert words.both_units(Fraction("19.05"), inches_first=True) == "3/4 in (19.05 mm)"
    assert words.size_in_both(LETTER, inches_first=True) == "8 1/2 x 11 in (215.9 x 279.4 mm)"


@pytest.mark.parametrize(
    ("written", "inches"),
    [("5 x 7 in", True), ("127 x 177.8 mm", False), ("letter", True), ("A5", False), ("12.7 cm x 7 in", True)],
)
def test_a_card_is_in_inches_where_the_settings_write_it_so(written, inches):
    assert words.is_given_in_inches(parse_size(written)) is inches


def test_each_cutter_has_its_own_cautions():
    """Guillotine: EN 1010-3 as hse.gov.uk tells it, WorkSafe NZ's WKS-6; the others common practice, no source."""
    guillotine, trimmer, scissors = (words.CUTTER_CAUTIONS[kind] for kind in CutterKind)
    assert "clamp and two-hand control" in guillotine
    assert "clamp" not in trimmer + scissors
    assert all("blade" in caution and "fingers" in caution for caution in (trimmer, scissors))
    assert "ruler" in scissors
    assert all("Local safety rules come first" in caution for caution in (guillotine, trimmer, scissors))


def test_a_day_has_its_weekday_in_english():
    """24 December 2026 is a Thursday (any calendar)."""
    assert words.day(date(2026, 12, 24)) == "Thursday 2026-12-24"
