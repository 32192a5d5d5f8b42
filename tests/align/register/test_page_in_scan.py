"""Which ring is which mark, and which way up: on rings and a dot drawn here, at a resolution that nobody tells."""

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageOps

from watcher.align.register import page_in_scan
from watcher.align.register.page_in_scan import RingsInScan, find_page, fit_affine
from watcher.align.register.scan_file import Scan, ScanRefused
from watcher.align.register.target import DOT_RADIUS_MM, RING_WIDTH_MM, ring_radius
from watcher.terms import Side

PPI = 150.0
PX_PER_MM = PPI / 25.4
WIDER = 4  # times larger while it is drawn, so that lines have soft edges


@pytest.fixture
def small(target):
    return target("small")


def drawn(target, side, marks=range(1, 7), dots=1):
    """A page as a picture: the rings of some marks, and the dot, beside the first so many marks."""
    scale = PX_PER_MM * WIDER
    size = round(float(target.sheet.width) * PX_PER_MM), round(float(target.sheet.height) * PX_PER_MM)
    image = Image.new("L", (size[0] * WIDER, size[1] * WIDER), 240)
    pen = ImageDraw.Draw(image)

    def circle(place, radius_mm, **ink):
        x, y, reach = float(place.x) * scale, image.height - float(place.y) * scale, float(radius_mm) * scale
        pen.ellipse((x - reach, y - reach, x + reach, y + reach), **ink)

    for mark in target.marks:
        if mark.number in marks:
            line = {"outline": 20, "width": round(float(RING_WIDTH_MM) * scale)}
            circle(mark.on(side), ring_radius(side) + RING_WIDTH_MM / 2, **line)
        if mark.number <= dots:
            circle(target.beside(mark.on(side)), DOT_RADIUS_MM, fill=20)
    return image.resize(size, Image.Resampling.BOX)


def found(image, target, ppi=PPI):
    return find_page(RingsInScan(Scan(file="scan.png", grey=np.asarray(image), ppi=ppi)), target)


@pytest.mark.parametrize("side", list(Side))
def test_an_upside_down_page_is_known_by_its_dot(small, side):
    page = found(drawn(small, side).rotate(180), small, ppi=None)
    width, height = (float(way) * PX_PER_MM for way in (small.sheet.width, small.sheet.height))
    assert (page.side, set(page.marks)) == (side, {1, 2, 3, 4, 5, 6})
    for mark in small.marks:
        x, y = (float(way) * PX_PER_MM for way in (mark.on(side).x, mark.on(side).y))
        assert page.marks[mark.number] == pytest.approx((width - x, height - y), abs=1.0)
    assert page.px_per_mm == pytest.approx(PX_PER_MM, rel=0.002)


@pytest.mark.parametrize(("marks", "is_found"), [((1, 2, 4, 5), True), ((1, 2, 5), False)])
def test_four_rings_are_a_page_and_three_are_not(small, monkeypatch, marks, is_found):
    """At the resolution of the scan alone: others are tried too, which takes a while."""
    monkeypatch.setattr(page_in_scan, "_tries", lambda *_: [(1.0, PPI)])
    page = found(drawn(small, Side.FRONT, marks), small)
    assert (set(page.marks) if page else None) == (set(marks) if is_found else None)


def test_a_mirrored_page_is_refused(small):
    with pytest.raises(ScanRefused, match=r"scan\.png is mirrored"):
        found(ImageOps.mirror(drawn(small, Side.FRONT)), small)


@pytest.mark.parametrize("dots", [0, 6])
def test_without_a_dot_or_with_one_everywhere_it_is_not_guessed(small, dots):
    with pytest.raises(ScanRefused, match="does not show which way up"):
        found(drawn(small, Side.FRONT, dots=dots), small)


def test_a_fit_gives_back_matrix_and_offset():
    linear, offset = np.array([[6.0, -0.4], [0.3, 5.9]]), np.array([12.0, -7.0])
    points = np.array([(0.0, 0.0), (90.0, 5.0), (10.0, 150.0), (95.0, 140.0)])
    fitted = fit_affine(points, points @ linear.T + offset)
    assert fitted[0] == pytest.approx(linear)
    assert fitted[1] == pytest.approx(offset)
