"""Rings drawn by arithmetic, found to a hundredth of a millimetre."""

import numpy as np
import pytest

from watcher.align.register.rings import find_rings, make_ready, sample, smaller

PX_PER_MM = 150 / 25.4


def drawn(middles, radius_mm=6.0, size=(420, 420)):
    """Black rings 0.6 mm wide on white paper; middles as column and row, pixels."""
    rows, columns = np.mgrid[: size[0], : size[1]]
    grey = np.full(size, 240.0)
    for column, row in middles:
        away = np.abs(np.hypot(columns - column, rows - row) - radius_mm * PX_PER_MM)
        grey = np.minimum(grey, 240 - 220 * np.clip(0.3 * PX_PER_MM + 0.5 - away, 0, 1))
    return grey.astype(np.uint8)


def test_a_ring_is_found_between_pixels():
    (ring,) = find_rings(make_ready(drawn([(200.3, 180.7)]), PX_PER_MM), 6.0)
    assert (ring.x, ring.y) == pytest.approx((200.3, 419 - 180.7), abs=0.06)  # y goes up
    assert ring.radius / PX_PER_MM == pytest.approx(6.0, abs=0.01)


def test_a_ring_of_another_size_is_none():
    assert find_rings(make_ready(drawn([(200, 200)], radius_mm=8.0), PX_PER_MM), 6.0) == []


def test_all_rings_are_found():
    places = {(110.0, 110.0), (300.0, 110.0), (200.0, 310.0)}
    found = find_rings(make_ready(drawn(places), PX_PER_MM), 6.0)
    assert {(round(ring.x), 419 - round(ring.y)) for ring in found} == places


def test_a_ring_with_a_third_covered_keeps_its_middle():
    grey = drawn([(200.0, 200.0)])
    grey[:185] = 240
    (ring,) = find_rings(make_ready(grey, PX_PER_MM), 6.0) or [None]
    assert ring is not None
    assert (ring.x, 419 - ring.y) == pytest.approx((200.0, 200.0), abs=0.1)


def test_grey_between_pixels_is_bilinear_and_goes_on_beyond_the_scan():
    grey = np.array([[0, 100], [200, 40]], np.uint8)
    assert sample(grey, np.array([0.5, 0.5, -3.0]), np.array([0.0, 0.5, 0.0])).tolist() == [50, 85, 0]


def test_blocks_are_averaged():
    assert smaller(np.array([[0, 4, 9], [8, 4, 9]], np.uint8), 2).tolist() == [[4.0]]
