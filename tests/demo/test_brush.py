"""A brush paints where it is told in millimetres: places, colours, and what runs off the card."""

from fractions import Fraction
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from watcher.demo.brush import PX_PER_MM, Brush, Colour
from watcher.layout.geometry import Size

PAPER: Colour = (250, 240, 230)
RED: Colour = (200, 10, 20)


@pytest.fixture
def brush() -> Brush:
    """A card of 20 x 10 mm with 2 mm of bleed."""
    return Brush(Size(Fraction(20), Fraction(10)), Fraction(2), PAPER)


def at(brush: Brush, x: float, y: float) -> Colour:
    """The colour at a place, mm from the upper left corner of the trim."""
    pixel = brush.image.getpixel((int((x + 2) * PX_PER_MM), int((y + 2) * PX_PER_MM)))
    assert isinstance(pixel, tuple)
    return pixel


def painted(brush: Brush) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what is not paper, mm."""
    rows, columns = np.nonzero((np.asarray(brush.image) != PAPER).any(axis=-1))
    left, top, right, bottom = columns.min(), rows.min(), columns.max() + 1, rows.max() + 1
    return tuple(float(edge / PX_PER_MM - 2) for edge in (left, top, right, bottom))


def test_a_picture_has_the_bleed_and_says_its_resolution(brush: Brush) -> None:
    """24 x 14 mm at 300 ppi are 283.46 x 165.35 pixels, rounded up."""
    saved = Image.open(BytesIO(brush.png()))
    assert saved.size == (284, 166)
    assert saved.info["dpi"] == pytest.approx((300, 300), abs=0.01)


def test_shapes_lie_at_their_millimetres(brush: Brush) -> None:
    brush.shape([(3, 2), (9, 2), (9, 7), (3, 7)], RED)
    assert painted(brush) == pytest.approx((3, 2, 9, 7), abs=0.1)
    assert (at(brush, 6, 4), at(brush, 2.5, 4), at(brush, 6, 7.5)) == (RED, PAPER, PAPER)


def test_a_ring_is_bare_within_and_a_disc_is_not(brush: Brush) -> None:
    brush.ring((5, 5), 3, 0.6, RED)
    brush.disc((14, 5), 3, RED, 0.5)
    assert (at(brush, 5, 5), at(brush, 5, 2.3)) == (PAPER, RED)
    assert at(brush, 14, 5) == pytest.approx(tuple((a + b) / 2 for a, b in zip(RED, PAPER, strict=True)), abs=2)


def test_what_lies_off_the_card_changes_nothing(brush: Brush) -> None:
    brush.disc((40, 5), 3, RED)
    brush.line([(-9, -9), (-5, 30)], 0.5, RED)
    brush.shape([(0, 20), (5, 20), (5, 25)], RED)
    assert (np.asarray(brush.image) == PAPER).all()
    brush.disc((20, 5), 5, RED)  # this one runs over the edge
    assert at(brush, 21.5, 5) == RED


@pytest.mark.parametrize(("anchor", "left", "right"), [("ls", 10, None), ("rs", None, 10)])
@pytest.mark.parametrize("gap", [0, 0.4])
def test_lettering_begins_or_ends_where_its_anchor_is(
    brush: Brush, anchor: str, left: float | None, right: float | None, gap: float
) -> None:
    brush.write((10, 6), "HH", 3, RED, anchor=anchor, gap=gap)
    box = painted(brush)
    assert box[3] == pytest.approx(6, abs=0.15)  # it stands on its line
    assert (box[0] if left else box[2]) == pytest.approx(left or right, abs=0.5)
