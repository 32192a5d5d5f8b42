"""What is written on the cards of the demo lies within the card, so that no cut goes through it."""

from collections.abc import Callable
from fractions import Fraction
from inspect import getmembers, isfunction

import pytest

from watcher.demo import ORDERS, cards
from watcher.demo.brush import PX_PER_MM, Brush
from watcher.layout.geometry import Size

SAFE_MM = 2  # common practice, no source
SIDES = [(order.trim, order.bleed, paint) for order in ORDERS for paint in order.paint]


class Lettering(Brush):
    """Notes what is written and where it ends up, and paints nothing else."""

    def __init__(self, trim: Size, bleed: Fraction) -> None:
        super().__init__(trim, bleed, (255, 255, 255))
        self.words: list[str] = []

    def sky(self, *_: object) -> None:
        """Paints nothing; so do the others."""

    shape = disc = ring = line = beam = glow = frame = sky

    def write(self, at: tuple[float, float], text: str, *arguments: object, **more: object) -> None:
        self.words.append(text)
        super().write(at, text, *arguments, **more)


@pytest.mark.parametrize(("trim", "bleed", "paint"), SIDES, ids=[paint.__name__ for _, _, paint in SIDES])
def test_lettering_keeps_off_the_cut(trim: Size, bleed: Fraction, paint: Callable[[Brush], None]) -> None:
    brush = Lettering(trim, bleed)
    paint(brush)
    inverted = brush.image.convert("L").point([255 - value for value in range(256)])
    left, top, right, bottom = (edge / PX_PER_MM - brush.bleed for edge in inverted.getbbox())
    assert min(left, top) > SAFE_MM
    assert right < brush.width - SAFE_MM
    assert bottom < brush.height - SAFE_MM
    assert brush.words


def test_every_side_that_is_drawn_belongs_to_an_order() -> None:
    drawn = {function for _, function in getmembers(cards, isfunction) if function.__module__ == cards.__name__}
    assert drawn == {paint for _, _, paint in SIDES}
    assert len(SIDES) == len(drawn)
