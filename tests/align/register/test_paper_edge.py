"""The paper's edge in a profile that was worked out by another way: summed numerically, not by formula."""

import numpy as np
import pytest

from watcher.align.register.paper_edge import fit_edges, profile_places

PAPER = 240.0


def profile(places, at, ground, shadow, blur_mm, width_mm=0.6):
    """Paper up to `at`, then a lid with a shadow that fades over `width_mm`; smoothed by a Gaussian."""
    fine = np.arange(-4, 4, 0.002)
    fade = np.clip(1 - (fine - at) / width_mm, 0, 1)
    sharp = np.where(fine < at, PAPER, ground * (1 - shadow * fade))
    weights = np.exp(-0.5 * ((places[:, np.newaxis] - fine[np.newaxis, :]) / blur_mm) ** 2)
    return (weights * sharp).sum(axis=1) / weights.sum(axis=1)


@pytest.mark.parametrize("at", [-0.12, 0.0, 0.07])
@pytest.mark.parametrize(
    ("ground", "shadow", "blur_mm", "most_mm"),
    [
        (20.0, 0.0, 0.25, 0.001),  # dark cloth
        (120.0, 0.15, 0.15, 0.003),
        (215.0, 0.15, 0.15, 0.004),
        (245.0, 0.4, 0.08, 0.001),  # a white lid at 300 ppi
        (245.0, 0.4, 0.25, 0.05),  # the same at 150 ppi, not sharp: half-way lies 0.17 mm within the paper
    ],
)
def test_is_found_whatever_lies_behind(at, ground, shadow, blur_mm, most_mm):
    places = profile_places(blur_mm)
    (found,) = fit_edges(profile(places, at, ground, shadow, blur_mm)[np.newaxis, :], places, blur_mm)
    assert found == pytest.approx(at, abs=most_mm)


def test_is_found_in_noise():
    """Forty pieces of an edge on a white lid, 2 grey values of noise in each: the mean is right."""
    places = profile_places(0.15)
    clean = profile(places, 0.05, 215.0, 0.3, 0.15)
    noisy = clean + np.random.default_rng(3).normal(0, 2, (40, len(places)))
    assert fit_edges(noisy, places, 0.15).mean() == pytest.approx(0.05, abs=0.01)


def test_lies_at_most_as_far_as_is_looked_for():
    places = profile_places(0.1)
    flat = np.full((1, len(places)), PAPER)
    assert abs(fit_edges(flat, places, 0.1)[0]) <= 0.22
