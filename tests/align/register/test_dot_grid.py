"""Where the dots of a label stand: all of them apart, and clear of the marks."""

from itertools import combinations

from watcher.align.register.dot_grid import LABEL_DOT_MM, bit_places, grid_middles
from watcher.align.register.label import LABEL_BITS
from watcher.align.register.target import BACK_RING_MM, RING_WIDTH_MM
from watcher.terms import Side


def test_every_bit_has_two_places_of_its_own():
    places = [place for pair in bit_places() for place in pair]
    assert len(places) == 2 * LABEL_BITS
    assert min(abs(a.x - b.x) + abs(a.y - b.y) for a, b in combinations(places, 2)) > LABEL_DOT_MM


def test_the_places_lie_around_the_middle():
    places = [place for pair in bit_places() for place in pair]
    assert sum(place.x for place in places) == sum(place.y for place in places) == 0


def test_both_grids_are_clear_of_the_rings_on_the_smallest_sheet(target):
    small, ring = target("small"), BACK_RING_MM + RING_WIDTH_MM / 2 + LABEL_DOT_MM
    for side in Side:
        for middle in grid_middles(small, side):
            for place in (place for pair in bit_places() for place in pair):
                x, y = middle.x + place.x, middle.y + place.y
                assert all((x - m.on(side).x) ** 2 + (y - m.on(side).y) ** 2 > ring**2 for m in small.marks)
