"""How far a picture is moved, against pictures that are moved by a known length; scipy moves them."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter, shift

from watcher.sheet.check.displacement import displacement, grey

EVERYWHERE = np.ones((60, 80), bool)


def picture(width_of_detail, seed=3):
    rough = np.random.default_rng(seed).random((60, 80))
    smooth = gaussian_filter(rough, width_of_detail)
    return ((smooth - smooth.min()) / np.ptp(smooth) * 255).astype(np.float32)


@pytest.mark.parametrize("moved", [(0.0, 0.3), (0.7, 0.0), (-0.6, 0.8), (0.0, -1.4)])
def test_a_small_move_is_measured(moved):
    art = picture(3)
    found = displacement(shift(art, moved, order=3, mode="nearest"), art, EVERYWHERE)
    assert found == pytest.approx(np.hypot(*moved), abs=0.2)


def test_a_move_of_two_steps_is_seen_though_the_art_is_fine():
    art = picture(1.2)
    assert displacement(shift(art, (2, 0), order=0, mode="nearest"), art, EVERYWHERE) > 0.6


def test_what_is_rounded_here_and_there_is_no_move():
    art = picture(2)
    noise = np.random.default_rng(1).normal(0, 6, art.shape).astype(np.float32)
    assert displacement(art + noise, art, EVERYWHERE) < 0.3


def test_only_steps_that_count_are_compared():
    art, mask = picture(3), EVERYWHERE.copy()
    mask[:, 40:] = False
    seen = art.copy()
    seen[:, 40:] = shift(art, (0, 1), order=1, mode="nearest")[:, 40:]
    assert displacement(seen, art, mask) == 0
    assert displacement(seen, art, ~mask) > 0.6


@pytest.mark.parametrize("shape", [(1, 9), (2, 2), (60, 80)])
def test_nothing_is_said_of_a_plain_or_a_tiny_picture(shape):
    plain = np.full(shape, 200, np.float32)
    assert displacement(plain - 40, plain, np.ones(shape, bool)) == 0


def test_grey_is_the_average_of_the_colours():
    assert grey(np.array([[[30, 60, 120]]], np.uint8))[0, 0] == pytest.approx(70)
