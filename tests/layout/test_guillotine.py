"""The guillotine search against a slow, plain one of another kind, and its speed."""

import math
from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.layout.geometry import Box, Size
from watcher.layout.guillotine import best_pattern
from watcher.layout.pattern import best_plain_grid
from watcher.terms import Turn

EXAMPLES = 3000 if LONG else 20
SUPER_B = Size(Fraction("330.2"), Fraction("482.6"))  # 13 x 19 in


def _size(width, height):
    return Size(Fraction(width), Fraction(height))


def _slow_count(across, up, width, height, gutter):
    """Most cards by trying every whole-unit cut of every piece, the lane cut out; no sums of sides, no ranks."""

    @cache
    def most(a, b):
        if a < b:
            a, b = b, a  # a piece turned as a whole holds as many
        if min(width, height) > b or max(width, height) > a:
            return 0
        best = 1
        for cut in range(min(width, height), a):
            best = max(best, most(cut, b) + most(max(0, a - cut - gutter), b))
        for cut in range(min(width, height), b):
            best = max(best, most(a, cut) + most(a, max(0, b - cut - gutter)))
        return best

    return most(across, up)


@settings(max_examples=EXAMPLES, deadline=None)
@given(*[st.integers(8, 44)] * 2, *[st.integers(5, 14)] * 2, st.integers(0, 3))
def test_it_holds_as_many_as_the_slow_search_over_all_cuts(across, up, width, height, gutter):
    ours = best_pattern(_size(across, up), _size(width, height), Fraction(gutter))
    assert ours.up == _slow_count(across, up, width, height, gutter)


@settings(max_examples=EXAMPLES, deadline=None)
@given(*[st.integers(30, 300)] * 2, *[st.integers(20, 90)] * 2, st.sampled_from([0, 1, 6]))
def test_its_cards_lie_in_the_room_and_keep_their_gutters(across, up, width, height, gutter):
    pattern = best_pattern(_size(across, up), _size(width, height), Fraction(gutter))
    trims = [box for box, _ in pattern.trims()]
    room = Box(Fraction(0), Fraction(0), Fraction(across), Fraction(up))
    assert all(room.contains(trim) for trim in trims)
    halo = [trim.grown(Fraction(gutter, 2)) for trim in trims]
    assert not any(one.overlaps(other) for i, one in enumerate(halo) for other in halo[:i])


@settings(max_examples=EXAMPLES, deadline=None)
@given(*[st.integers(30, 300)] * 2, *[st.integers(20, 90)] * 2, st.sampled_from([0, 6]))
def test_where_a_plain_grid_holds_as_many_it_takes_no_more_cuts(across, up, width, height, gutter):
    room, card = _size(across, up), _size(width, height)
    best, grid = best_pattern(room, card, Fraction(gutter)), best_plain_grid(room, card, Fraction(gutter))
    assert best.up >= grid.up
    if best.up == grid.up and grid.up:
        assert best.cut_lines <= grid.cut_lines


@pytest.mark.parametrize(
    ("room", "card", "gutter", "up", "cuts"),
    [
        ((30, 20), (30, 20), 0, 1, 4),
        ((60, 40), (30, 20), 0, 4, 6),  # (2 + 1) + (2 + 1)
        ((66, 46), (30, 20), 6, 4, 8),  # 2 x 2 + 2 x 2
        ((70, 60), (30, 20), 0, 7, 4 + 1 + 2 + 2),  # three upright beside 2 x 2 turned
        ((70, 50), (30, 20), 0, 5, 4 + 1 + 1 + 2),  # two upright below three turned, both 60 wide
        ((50, 50), (30, 20), 0, 3, 4 + 1 + 1 + 1),  # two upright beside one turned with 10 of slack above it
        ((56, 46), (30, 20), 6, 3, 4 + 2 + 2 + 1),  # the same with lanes
    ],
)
def test_cut_lines_are_counted_as_a_hand_counts_them(room, card, gutter, up, cuts):
    """Worked out by hand: four outer cuts, each parting and each slack one more, strips cut together."""
    pattern = best_pattern(_size(*room), _size(*card), Fraction(gutter))
    assert (pattern.up, pattern.cut_lines) == (up, cuts)


def _extent(block, card, gutter):
    """The block's outline, from the first trim to the last."""
    size = card.turned(Turn.LEFT if block.turned else Turn.NONE)
    width = block.columns * (size.width + gutter) - gutter
    return Box.at(block.x, block.y, Size(width, block.rows * (size.height + gutter) - gutter))


def _fewest_strokes(blocks, piece, gutter):
    """Strokes that part these blocks, cut from `piece`, by the best order of lanes; strips of a block cut together."""
    if len(blocks) == 1:
        (block, box), per_lane = blocks[0], 2 if gutter else 1
        slack = (
            (piece.left < box.left) + (box.right < piece.right) + (piece.bottom < box.bottom) + (box.top < piece.top)
        )
        return slack + per_lane * (block.columns + block.rows - 2)
    ways = [math.inf]
    for low, high in (("left", "right"), ("bottom", "top")):
        ordered = sorted(blocks, key=lambda each: getattr(each[1], low))
        for count in range(1, len(ordered)):
            ends = max(getattr(box, high) for _, box in ordered[:count])
            begins = min(getattr(box, low) for _, box in ordered[count:])
            if ends <= begins - gutter:
                first, second = replace(piece, **{high: ends}), replace(piece, **{low: begins})
                parts = [(ordered[:count], first), (ordered[count:], second)]
                ways.append((1 if ends == begins else 2) + sum(_fewest_strokes(*part, gutter) for part in parts))
    return min(ways)


@settings(max_examples=EXAMPLES, deadline=None)
@given(*[st.integers(30, 200)] * 2, *[st.integers(15, 60)] * 2, st.sampled_from([0, 1, 6]))
def test_cut_lines_are_the_strokes_that_part_the_blocks(across, up, width, height, gutter):
    """Counted a second time from where the blocks lie: four outer strokes, and the best order of all the others."""
    card = _size(width, height)
    pattern = best_pattern(_size(across, up), card, Fraction(gutter))
    assume(pattern.up)
    blocks = [(block, _extent(block, card, Fraction(gutter))) for block in pattern.blocks]
    outline = Box.around([box for _, box in blocks])
    assert pattern.cut_lines == 4 + _fewest_strokes(blocks, outline, Fraction(gutter))


def test_a_square_card_is_never_turned():
    assert best_pattern(SUPER_B, _size(50, 50), Fraction(3)).turned == 0


def test_lengths_that_have_no_handy_common_unit_stay_exact():
    """Three cards fill the room to the last part of ten to the thirty; a hair less holds two."""
    width = Fraction(10**30 // 7, 10**28)
    card = Size(width, Fraction(20))
    assert best_pattern(Size(3 * width, Fraction(20)), card, Fraction(0)).up == 3
    assert best_pattern(Size(3 * width - Fraction(1, 10**30), Fraction(20)), card, Fraction(0)).up == 2


def test_what_is_no_card_any_more_gets_the_plain_grid():
    pattern = best_pattern(SUPER_B, _size(3, 2), Fraction(0))
    assert pattern == best_plain_grid(SUPER_B, _size(3, 2), Fraction(0))
