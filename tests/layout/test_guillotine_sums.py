"""Sums of card sides, what is left beside them, and the one number by which patterns are ranked."""

import pytest

from watcher.layout.guillotine_sums import SideSums, WorthScale


def test_the_sums_are_all_that_cards_side_by_side_can_come_to():
    assert SideSums(20, 5, 8).at == [0, 5, 8, 10, 13, 15, 16, 18, 20]


def test_the_rest_beside_a_sum_is_the_largest_sum_that_still_fits():
    sums = SideSums(20, 5, 8)
    five, eighteen = sums.at.index(5), sums.at.index(18)
    assert sums.at[sums.rest[five, eighteen]] == 13
    assert sums.at[sums.exact[five, eighteen]] == 13


def test_a_rest_with_a_loss_is_not_exact():
    sums = SideSums(20, 5, 8)
    eight, twenty = sums.at.index(8), sums.at.index(20)
    assert sums.at[sums.rest[eight, twenty]] == 10  # of 12
    assert sums.exact[eight, twenty] == len(sums)


def test_the_first_part_is_at_most_half():
    sums = SideSums(20, 5, 8)
    ten, fifteen = sums.at.index(10), sums.at.index(15)
    assert sums.rest[ten, fifteen] == len(sums)


def test_lengths_beyond_64_bits_are_counted_exactly():
    assert SideSums(3 * 10**19, 10**19, 2 * 10**19).at == [0, 10**19, 2 * 10**19, 3 * 10**19]


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        ((3, 3, 20, True), (4, 2, 0, False)),  # more cards outweigh all cuts
        ((2, 3, 4, True), (2, 3, 5, False)),  # fewer cuts outweigh turned cards
        ((2, 3, 4, False), (2, 3, 4, True)),
    ],
)
def test_cards_count_before_cuts_and_cuts_before_turns(better, worse):
    scale = WorthScale.for_at_most(12)
    assert scale.grid(*better) > scale.grid(*worse)


def test_the_cuts_are_read_back_from_a_worth():
    scale = WorthScale.for_at_most(12)
    assert scale.cuts_in(scale.grid(2, 3, 5, True)) == 5
    assert scale.cuts_in(scale.grid(2, 3, 5, False) + scale.grid(1, 2, 4, True)) == 9
