"""PDF art drawn from its own file as it lies at a place."""

import io
from fractions import Fraction

import numpy as np
import pikepdf
import pytest

from tests.ready import prepare_faces
from watcher.layout.geometry import Size
from watcher.settings.card import CardSettings
from watcher.sheet.check.in_place import ArtInPlace
from watcher.sheet.frames import Frame

TRIM = Size(Fraction(30), Fraction(40))
POINTS = 72 / 25.4
CARD = CardSettings(name="c", trim="30 x 40 mm", sides=1, sheet="s")


@pytest.fixture
def face(opened):
    """A page of the card's size: red, its lower left quarter blue."""
    document = pikepdf.new()
    document.add_blank_page(page_size=(30 * POINTS, 40 * POINTS))
    drawn = f"1 0 0 rg 0 0 500 500 re f 0 0 1 rg 0 0 {15 * POINTS:.4f} {20 * POINTS:.4f} re f"
    document.pages[0].Contents = document.make_stream(drawn.encode())
    finished = io.BytesIO()
    document.save(finished)
    (front,), _ = prepare_faces([opened(finished.getvalue(), "pdf")], CARD)
    return front


ON_PIXELS = Frame((6.0, 0.0, 0.0, -6.0, 0.0, 240.0))  # six pixels a mm, y down


def test_the_window_shows_its_part_of_the_card(face):
    with ArtInPlace(TRIM) as drawn:
        found = drawn.wanted(face, ON_PIXELS, (0, 0, 60, 80), 3)
    assert found.pixels.shape == (240, 180, 3)
    assert tuple(found.pixels[200, 40]) == (0, 0, 255)
    assert tuple(found.pixels[40, 40]) == tuple(found.pixels[200, 140]) == (255, 0, 0)


def test_the_picture_is_the_average_of_each_step_and_lies_between_its_extremes(face):
    with ArtInPlace(TRIM) as drawn:
        found = drawn.wanted(face, ON_PIXELS, (20, 30, 40, 50), 3)
    assert found.picture.shape == found.darkest.shape == found.lightest.shape == (20, 20, 3)
    assert np.array_equal(found.picture[0, 0], found.pixels[:3, :3].reshape(-1, 3).mean(axis=0).astype(np.uint8))
    assert (found.darkest <= found.lightest).all()


def test_a_page_is_opened_once_for_all_places(face, monkeypatch):
    with ArtInPlace(TRIM) as drawn:
        drawn.wanted(face, ON_PIXELS, (0, 0, 10, 10), 3)
        page = drawn._page(face.art.content)
        drawn.wanted(face, ON_PIXELS, (5, 5, 20, 20), 3)
        assert drawn._page(face.art.content) is page
