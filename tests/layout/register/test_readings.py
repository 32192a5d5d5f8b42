"""Readings of marks: averaged, compared, and written as people do."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Point
from watcher.layout.register.readings import Reading, mean_readings, named_marks, scatter_of, show_reading


def read(mark: int, right: str, up: str) -> Reading:
    return Reading(mark=mark, place=Point(Fraction(20), Fraction(20)), right=Fraction(right), up=Fraction(up))


def test_the_mean_of_each_mark_is_exact_and_by_its_number():
    found = mean_readings([[read(2, "0.8", "0.5")], [read(1, "0.1", "0"), read(2, "0.9", "0.5")]])
    assert [(one.mark, one.right, one.up) for one in found] == [
        (1, Fraction("0.1"), 0),
        (2, Fraction("0.85"), Fraction("0.5")),
    ]


def test_the_scatter_is_a_sample_standard_deviation():
    """Readings -0.3, 0, 0.3 off their mean: sample standard deviation 0.3."""
    scatter = scatter_of([[read(1, shift, "0.5")] for shift in ("0.5", "0.8", "1.1")])
    assert scatter is not None
    assert (scatter.typical, scatter.worst) == pytest.approx((0.3, 0.6))
    assert scatter.worst_mark == 1


def test_marks_are_named_for_people():
    assert named_marks([read(mark, "0", "0") for mark in (1, 2, 5)]) == "Marks 1, 2 and 5"


@pytest.mark.parametrize(
    ("right", "up", "shown"),
    [("0.8", "-0.5", "+0.8, -0.5 mm"), ("0", "1", "+0.0, +1.0 mm"), ("-0.25", "0.333", "-0.25, +0.33 mm")],
)
def test_a_reading_is_shown_as_people_write_it(right, up, shown):
    assert show_reading(read(1, right, up)) == shown
