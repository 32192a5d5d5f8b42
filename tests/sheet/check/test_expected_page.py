"""How the places of a page should look."""

from fractions import Fraction

import numpy as np
import pytest

from watcher.layout.geometry import Size
from watcher.sheet.check.expected_page import seen_and_wanted, wanted_pages
from watcher.sheet.check.render import SheetRenderer
from watcher.sheet.draw.sheet_pdf import draw_sheets

TRIM = Size(Fraction(40), Fraction(52))


@pytest.fixture
def plan(one_place, planned, face_of):
    """One black card, its lower left corner 10 mm from both edges, on a sheet of 100 x 140 mm; with marks."""
    black = np.zeros((104, 80, 3), np.uint8)
    return planned(one_place(TRIM), face_of(black, TRIM), marks=True)


@pytest.fixture
def page(plan):
    (rendered,) = SheetRenderer(draw_sheets(plan), plan, once=False).pages()
    return rendered


def test_what_is_wanted_is_the_card_at_its_place_on_bare_paper(plan, page):
    (wanted,) = wanted_pages((page,), plan)
    black = np.flatnonzero((wanted.pixels < 20).all(axis=(2)).any(axis=0))
    per_mm = page.pixels.shape[1] / 100
    assert (black[0] / per_mm, black[-1] / per_mm) == pytest.approx((10, 50), abs=1.1)  # whole steps inside it
    assert (wanted.pixels[: int(70 * per_mm)] == 255).all()


def test_the_window_of_a_place_is_that_of_its_card(plan, page):
    (left, top, right, bottom), pixels = seen_and_wanted(page, plan, 1)
    assert pixels.shape == (bottom - top, right - left, 3)
    assert pixels.max() < 20
    assert page.pixels[top:bottom, left:right].max() < 20
