"""What a target says of itself in bits, and that no damaged label is believed."""

import itertools
from dataclasses import replace

import pytest

from watcher.align.register.dot_grid import LABEL_DOT_MM, PITCH_MM, bit_places, grid_middles
from watcher.align.register.label import LABEL_BITS, RUNS, Use, any_run, from_bits, label_of, to_bits
from watcher.layout.geometry import Point
from watcher.layout.register.alignment import Correction
from watcher.terms import Flip, Side


@pytest.fixture
def label(target):
    return label_of(target("letter"), Side.BACK, 48213)


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("correction", [None, Correction(turn_degrees=0.1)])
@pytest.mark.parametrize("run", [0, 1, RUNS - 1])
def test_bits_give_back_the_label(target, side, correction, run):
    label = label_of(target("a4"), side, run, correction)
    assert len(to_bits(label)) == LABEL_BITS
    assert from_bits(to_bits(label)) == label


def test_up_to_three_wrong_bits_are_always_noticed(label):
    """What a CRC of 16 bits with the polynomial of V.41 promises for messages this short: distance 4."""
    bits = to_bits(label)
    for number in (1, 2, 3):
        for wrong in itertools.islice(itertools.combinations(range(LABEL_BITS), number), 5000):
            assert from_bits(tuple(bit ^ (place in wrong) for place, bit in enumerate(bits))) is None


def test_blank_and_full_bits_are_no_label():
    assert from_bits((False,) * LABEL_BITS) is None
    assert from_bits((True,) * LABEL_BITS) is None


def test_a_proof_says_so_and_which_correction_it_has(target):
    one, other = (label_of(target("a4"), Side.BACK, 0, Correction(turn_degrees=turn)) for turn in (0.1, 0.2))
    assert one.use is Use.PROOF
    assert one.drawn != other.drawn


def test_printer_sheet_size_and_flip_all_tell(target):
    letter = target("letter")
    changed = [
        replace(letter, printer="second"),
        replace(letter, sheet_name="heavy"),
        replace(letter, flip=Flip.SHORT_EDGE),
        replace(letter, sheet=target("a4").sheet),
    ]
    assert len({label_of(one, Side.FRONT, 7) for one in (letter, *changed)}) == 5


def test_names_count_as_in_the_settings_whatever_their_capitals(target):
    assert label_of(replace(target("letter"), printer="LASER"), Side.FRONT, 7) == label_of(
        target("letter"), Side.FRONT, 7
    )


def test_two_runs_have_two_numbers():
    assert len({any_run() for _ in range(50)}) > 45


@pytest.mark.parametrize("sheet_name", ["letter", "a4", "small", "wide", "sra3"])
@pytest.mark.parametrize("side", list(Side))
def test_dots_stay_clear_of_marks_words_and_the_dot(target, sheet_name, side):
    """Words at a scale reach 12.5 mm from its middle, text starts at 18 mm, the big dot has 3 mm of paper around it."""
    placed = target(sheet_name)
    reach = LABEL_DOT_MM / 2
    for middle in grid_middles(placed, side):
        dots = [Point(middle.x + place.x, middle.y + place.y) for pair in bit_places() for place in pair]
        for mark in placed.marks:
            at = mark.on(side)
            beside = placed.beside(at)
            assert all((dot.x - beside.x) ** 2 + (dot.y - beside.y) ** 2 > (3 + reach) ** 2 for dot in dots)
        rows = sorted({mark.on(side).y for mark in placed.marks})
        away = [min(abs(dot.y - row) for row in (rows[0], rows[-1])) for dot in dots]
        assert min(away) - reach > 12.5
        assert max(away) + reach < 18


def test_dots_do_not_touch():
    assert PITCH_MM - LABEL_DOT_MM > 0.3
