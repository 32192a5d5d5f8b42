"""What is seen round the lighthouse lies where it is drawn: the lamp, the moon's light, the stars and the waves."""

from fractions import Fraction

import numpy as np
import pytest

from watcher.demo import motifs as m
from watcher.demo.brush import PX_PER_MM, Brush, Colour
from watcher.layout.geometry import Size

PAPER: Colour = (0, 0, 0)


def a_brush() -> Brush:
    """A card of 40 x 40 mm without bleed."""
    return Brush(Size(Fraction(40), Fraction(40)), Fraction(0), PAPER)


def is_colour(brush: Brush, colour: Colour) -> np.ndarray:
    return (np.asarray(brush.image) == colour).all(axis=-1)


def test_the_lamp_of_a_tower_is_where_its_light_is() -> None:
    brush = a_brush()
    x, y = m.draw_tower(brush, (20, 38), 30)
    assert x == 20
    rows, columns = np.nonzero(is_colour(brush, m.LAMP))
    assert rows.mean() / PX_PER_MM == pytest.approx(y, abs=0.5)
    assert columns.mean() / PX_PER_MM == pytest.approx(x, abs=0.5)


@pytest.mark.parametrize("lit", [0.25, 0.5, 1.0])
@pytest.mark.parametrize("waxing", [True, False])
def test_so_much_of_the_moon_is_lit_and_on_its_right_while_it_waxes(lit: float, waxing: bool) -> None:
    """The lit part of a disc between a half circle and a half ellipse is `lit` of its area."""
    brush = a_brush()
    m.draw_moon(brush, (20, 20), 15, lit, waxing=waxing)
    bright = is_colour(brush, m.LAMP)
    assert bright.sum() / PX_PER_MM**2 == pytest.approx(lit * np.pi * 15**2, rel=0.03)
    columns = np.nonzero(bright)[1].mean() / PX_PER_MM
    if lit == 1:
        assert columns == pytest.approx(20, abs=0.1)
    else:
        assert bool(columns > 20) is waxing


def test_stars_end_at_their_height_and_are_the_same_for_the_same_seed() -> None:
    skies = [a_brush() for _ in range(3)]
    for sky, seed in zip(skies, (3, 3, 4), strict=True):
        m.draw_stars(sky, 15, 40, seed=seed)
    first, again, other = (np.asarray(sky.image) for sky in skies)
    assert (first == again).all()
    assert (first != other).any()
    assert first.any()
    assert np.nonzero(first.any(axis=(1, 2)))[0].max() / PX_PER_MM < 15.5  # a star is 0.42 mm at most


def test_the_last_row_of_waves_reaches_the_foot_of_the_card() -> None:
    brush = a_brush()
    m.draw_waves(brush, 20, (m.TEAL, m.FOAM), 5)
    pixels = np.asarray(brush.image)
    assert (pixels[-1] == m.FOAM).all()
    assert not pixels[: int(20 * PX_PER_MM) - 1].any()
    assert (pixels[int(23 * PX_PER_MM)] == m.TEAL).all()


def test_a_soft_line_goes_through_all_of_its_spots() -> None:
    spots = [(0.0, 0.0), (10.0, 4.0), (20.0, -3.0), (30.0, 8.0)]
    soft = m.smooth(spots, 8)
    assert np.allclose(soft[::8], spots)
    assert len(soft) == 25
