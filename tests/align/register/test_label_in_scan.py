"""A label is read from dots drawn here, as the page lies in the scan (no printer, no warping)."""

import numpy as np
import pytest
from PIL import Image, ImageDraw

from watcher.align.register.dot_grid import LABEL_DOT_MM, bit_places, grid_middles
from watcher.align.register.label import label_of, to_bits
from watcher.align.register.label_in_scan import Unread, read_label
from watcher.align.register.page_in_scan import PageInScan
from watcher.align.register.scan_file import Scan
from watcher.align.register.target import RING_WIDTH_MM, ring_radius
from watcher.terms import Side

PX_PER_MM = 8
BLACK, WHITE = 20, 240


def page_of(target, side, bits_of_grids, moved_mm=(0.0, 0.0)):
    """A page that lies straight in its scan, with its rings, and dots for the bits of each grid (None: no dots)."""
    wide, high = round(target.sheet.width * PX_PER_MM), round(target.sheet.height * PX_PER_MM)
    image = Image.new("L", (wide, high), WHITE)
    pen = ImageDraw.Draw(image)

    def circle(x, y, radius_mm, **ink):
        across, down, reach = float(x) * PX_PER_MM, high - 1 - float(y) * PX_PER_MM, float(radius_mm) * PX_PER_MM
        pen.ellipse((across - reach, down - reach, across + reach, down + reach), **ink)

    marks = {mark.number: mark.on(side) for mark in target.marks}
    line = RING_WIDTH_MM / 2
    for place in marks.values():
        circle(place.x, place.y, ring_radius(side) + line, outline=BLACK, width=round(2 * line * PX_PER_MM))
    for middle, bits in zip(grid_middles(target, side), bits_of_grids, strict=True):
        for bit, (left, right) in zip(bits, bit_places(), strict=True) if bits else ():
            dot = left if bit else right
            circle(middle.x + dot.x + moved_mm[0], middle.y + dot.y + moved_mm[1], LABEL_DOT_MM / 2, fill=BLACK)
    return PageInScan(
        scan=Scan(file="front.png", grey=np.asarray(image), ppi=None),
        side=side,
        marks={number: np.array([float(at.x), float(at.y)]) * PX_PER_MM for number, at in marks.items()},
        radii=dict.fromkeys(marks, float(ring_radius(side)) * PX_PER_MM),
        linear=np.eye(2) * PX_PER_MM,
        offset=np.zeros(2),
        bent_mm=0.0,
    )


@pytest.fixture
def small(target):
    return target("small")


def test_one_grid_is_enough_though_it_lies_a_little_off(small):
    label = label_of(small, Side.FRONT, 4711)
    for grids in ((to_bits(label), None), (None, to_bits(label))):
        assert read_label(page_of(small, Side.FRONT, grids, (0.45, -0.45)), small) == label


def test_a_page_without_dots_has_no_label(small):
    assert read_label(page_of(small, Side.FRONT, (None, None)), small) is Unread.ABSENT


def test_dots_with_a_wrong_bit_are_not_believed(small):
    first, *rest = to_bits(label_of(small, Side.BACK, 7))
    wrong = (not first, *rest)
    assert read_label(page_of(small, Side.BACK, (wrong, wrong)), small) is Unread.UNCLEAR


def test_the_label_of_the_other_side_is_not_believed(small):
    """What shines through is a whole label, but not this page's."""
    bits = to_bits(label_of(small, Side.BACK, 7))
    assert read_label(page_of(small, Side.FRONT, (bits, bits)), small) is Unread.UNCLEAR
