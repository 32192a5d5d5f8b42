"""A length is quoted in the unit in which its owner wrote it, to the last digit that tells."""

import pickle
from copy import deepcopy
from fractions import Fraction

import pytest

from watcher.settings.values import parse_length, show_exact_length
from watcher.units import Length, show_length, show_run


@pytest.mark.parametrize("written", ["0.125 in", "3.175 mm", "0.3 cm", "9 pt", "0.0625 in", "3 mm"])
def test_a_length_is_shown_as_it_was_written(written):
    assert show_length(parse_length(written)) == written


@pytest.mark.parametrize(("written", "shown"), [("1/8 in", "0.125 in"), ('0.25"', "0.25 in"), ("2 inches", "2 in")])
def test_other_ways_to_write_inches_are_inches(written, shown):
    assert show_length(parse_length(written)) == shown


def test_what_is_reckoned_from_it_is_shown_like_it():
    bleed = parse_length("0.125 in")
    assert show_length(2 * bleed, bleed) == "0.25 in"
    assert type(2 * bleed) is Fraction


def test_it_is_the_number_that_it_is():
    bleed = parse_length("0.125 in")
    assert bleed == Fraction("3.175")
    assert hash(bleed) == hash(Fraction("3.175"))


@pytest.mark.parametrize("copied", [deepcopy, lambda length: pickle.loads(pickle.dumps(length))])
def test_it_keeps_its_unit_on_the_way_to_a_worker(copied):
    copy = copied(Length(Fraction("3.175"), "in"))
    assert (copy, copy.unit) == (Fraction("3.175"), "in")


def test_decimals_that_never_end_are_told_in_millimetres():
    """3 mm are 15/127 in."""
    assert show_exact_length(Fraction(3), parse_length("1 in")) == "3 mm"


def test_numbers_that_follow_one_another_are_told_as_a_run():
    assert [show_run(7, 7), show_run(7, 12)] == ["7", "7 to 12"]
    assert [show_run(7, 7, "sheet"), show_run(7, 12, "sheet")] == ["sheet 7", "sheets 7 to 12"]
