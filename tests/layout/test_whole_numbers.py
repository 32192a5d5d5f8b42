"""Whole units are as exact as the fractions they stand for."""

from hypothesis import given
from hypothesis import strategies as st

from watcher.layout.geometry import Box
from watcher.layout.whole_numbers import WholeBox, WholeUnit, free_between


@given(st.lists(st.fractions(-500, 500), min_size=1))
def test_lengths_come_back_as_they_went_in_and_have_whole_middles(lengths):
    unit = WholeUnit(lengths)
    assert [unit.mm(unit.whole(length)) for length in lengths] == lengths
    assert all(unit.whole(length) % 2 == 0 for length in lengths)


@given(st.tuples(*[st.fractions(-500, 500)] * 4))
def test_boxes_come_back_as_they_went_in(edges):
    box = Box(*edges)
    unit = WholeUnit.of_boxes([box])
    assert unit.box_in_mm(unit.box(box)) == box


def test_changing_axes_or_turning_over_twice_changes_nothing():
    box = WholeBox(1, 2, 5, 9)
    assert box.transposed() == WholeBox(2, 1, 9, 5)
    assert box.transposed().transposed() == box.upside_down().upside_down() == box


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(0, 12)).map(lambda pair: (pair[0], sum(pair)))))
def test_what_is_free_is_what_no_stretch_covers(blocked):
    """Counted unit by unit."""
    free = {unit for low, high in free_between(5, 30, blocked) for unit in range(low, high)}
    covered = {unit for low, high in blocked for unit in range(low, high)}
    assert free == set(range(5, 30)) - covered
