"""Finished sheets rendered to pixels."""

from fractions import Fraction

import numpy as np
import pytest

from watcher.layout.geometry import Size
from watcher.sheet.check.render import PREVIEW_PPI, SheetRenderer, page_px, page_scale
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Side, Turn

TRIM = Size(Fraction(40), Fraction(52))
RED, BLUE = (230, 0, 0), (0, 0, 230)


def field(colour):
    """One colour with a black block at the upper left."""
    pixels = np.full((104, 80, 3), colour, np.uint8)
    pixels[:30, :20] = 0
    return pixels


@pytest.fixture
def plan(laid_out, planned, face_of):
    layout = laid_out(Size(Fraction(110), Fraction(130)), TRIM)
    front = face_of(field(RED), TRIM, bleed=Fraction(3))
    return planned(layout, front, face_of(field(BLUE), TRIM, bleed=Fraction(3), side=Side.BACK))


def test_each_page_is_as_large_as_was_said_and_shows_its_side(plan):
    pages = SheetRenderer(draw_sheets(plan), plan).pages()
    assert [page.side for page in pages] == [Side.FRONT, Side.BACK]
    for page, colour in zip(pages, (RED, BLUE), strict=True):
        assert page.pixels.shape[1::-1] == page_px(plan)
        assert abs(page.pixels.astype(int) - colour).max(axis=2).min() < 12
    assert page_scale(pages[0]) == pytest.approx((PREVIEW_PPI / 25.4,) * 2, rel=0.01)


def test_a_card_is_shown_upright_whichever_way_it_lies(one_place, planned, face_of):
    for turn in Turn:
        plan = planned(one_place(TRIM, turn=turn), face_of(field(RED), TRIM))
        (card,) = SheetRenderer(draw_sheets(plan), plan, with_cards=True).cards()
        height, width = card.pixels.shape[:2]
        assert height > width
        assert card.pixels[height // 8, width // 8].max() < 40, turn
        assert abs(card.pixels[-height // 8, -width // 8].astype(int) - RED).max() < 12, turn


def test_pages_that_are_not_asked_for_are_not_kept(plan):
    renderer, seen = SheetRenderer(draw_sheets(plan), plan), []
    assert renderer.pages(each=seen.extend, kept=0) == ()
    assert [page.side for page in seen] == [Side.FRONT, Side.BACK]
    assert renderer.pages(only=()) == ()
