"""Sentences about corrections: both units, and the way things go."""

from datetime import UTC, datetime
from fractions import Fraction

import pytest

from watcher.align.words import (
    age,
    decimal_inches,
    describe_correction,
    describe_drift,
    describe_turning,
    length,
    where_backs_land,
)
from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction
from watcher.terms import Duplex, Flip


def moved(right: str, up: str, **more: float) -> Correction:
    return Correction(shift=Point(Fraction(right), Fraction(up)), **more)


def test_a_length_is_said_in_both_units():
    assert length(Fraction("-0.8")) == "0.80 mm (0.031 in)"


def test_backs_land_opposite_to_how_they_are_moved():
    assert where_backs_land(moved("0.8", "-0.5")) == (
        "The backs land 0.80 mm (0.031 in) too far left and 0.50 mm (0.020 in) too high."
    )
    assert where_backs_land(moved("0", "0.004")) == "The backs land where they should."


@pytest.mark.parametrize(
    ("correction", "said"),
    [
        (moved("0", "0"), "not moved"),
        (moved("-1", "0"), "moved 1.00 mm (0.039 in) left"),
        (moved("0", "0", turn_degrees=0.25), "not moved, turned 0.250 degrees counter-clockwise"),
        (moved("0", "0", turn_degrees=-0.25), "not moved, turned 0.250 degrees clockwise"),
        (moved("0", "0", scale_x=1.001, scale_y=0.998), "not moved, made 0.100 % wider and 0.200 % lower"),
    ],
)
def test_a_correction_says_each_of_its_parts(correction, said):
    assert describe_correction(correction) == said


@pytest.mark.parametrize(("days", "said"), [(-1, "today"), (0, "today"), (1, "yesterday"), (90, "90 days ago")])
def test_age_is_in_days(days, said):
    assert age(days) == said


def test_drift_names_the_day_of_the_earlier_measurement():
    assert describe_drift(0.5, datetime(2026, 5, 1, tzinfo=UTC)).startswith("Since 2026-05-01 the backs have moved")


def test_who_turns_is_said_with_the_edge_where_it_is_known():
    assert describe_turning(Flip.SHORT_EDGE, Duplex.AUTOMATIC) == "the printer turns the sheet, flip on the short edge"
    assert describe_turning(None, Duplex.MANUAL) == "you turn the stack"


def test_a_sheet_is_said_in_inches_as_its_box_says_it():
    assert decimal_inches(Size(Fraction("215.9"), Fraction("279.4"))) == "8.5 x 11 in"
