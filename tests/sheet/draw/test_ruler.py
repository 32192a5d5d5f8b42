"""The ruler on the sheet: its lengths and ticks."""

from fractions import Fraction

import pytest

from watcher.sheet.draw.lettering import set_strips
from watcher.sheet.draw.ruler import RULER_START_MM, RULERS, _lines, ruler_strip


def test_the_longest_ruler_comes_first():
    assert [(ruler.mm, ruler.inches) for ruler in RULERS] == [(100, 4), (50, 2), (25, 1)]


@pytest.mark.parametrize("ruler", RULERS)
def test_there_is_a_tick_each_millimetre_and_each_eighth_of_an_inch(ruler):
    _, *ticks = _lines(ruler)
    start = float(RULER_START_MM) * 72 / 25.4
    above = sorted(x - start for x, low, _, high in ticks if high > low)
    below = sorted(x - start for x, low, _, high in ticks if high < low)
    assert above == pytest.approx([mm * 72 / 25.4 for mm in range(ruler.mm + 1)])
    assert below == pytest.approx([eighth * 9 for eighth in range(8 * ruler.inches + 1)])


@pytest.mark.parametrize("ruler", RULERS)
def test_the_strip_has_room_for_both_scales(ruler):
    assert ruler.inches_end_mm == RULER_START_MM + ruler.inches * Fraction("25.4")
    assert ruler_strip(ruler).length_mm > ruler.inches_end_mm > RULER_START_MM + ruler.mm


def test_its_numbers_stand_on_the_page(pdf, render):
    page = render(set_strips((ruler_strip(RULERS[1]),)), ppi=600)
    dark = (page < 128).all(axis=2).any(axis=0).nonzero()[0]
    assert dark.min() > 0
    assert dark.max() < page.shape[1] - 1
