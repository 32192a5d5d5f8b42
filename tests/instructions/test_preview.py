"""Pictures for people: what they show, and that they are the same bytes for the same pages."""

import io
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from PIL import Image, ImageDraw

from tests.instructions.an_order import LETTER, two_up
from tests.instructions.test_second_side import ONE_SIDED, PLAN
from watcher.instructions.card_picture import card_png
from watcher.instructions.preview import FORMS_SHOWN, as_png, preview_picture, preview_px
from watcher.layout.geometry import Size
from watcher.sheet.check.render import Rendered, page_px
from watcher.terms import Side

RED, BLUE = (200, 30, 30), (30, 30, 200)


@pytest.fixture
def page():
    """A page of one colour."""

    def make(colour=RED, side=Side.FRONT, form=0, height=90, width=60) -> Rendered:
        pixels = np.full((height, width, 3), colour, np.uint8)
        return Rendered(side=side, pixels=pixels, size=Size(Fraction(20), Fraction(30)), form=form)

    return make


def opened(png: bytes) -> Image.Image:
    picture = Image.open(io.BytesIO(png))
    picture.load()
    return picture


def columns_of(picture: Image.Image, colour) -> list[int]:
    return sorted(set(np.nonzero((np.asarray(picture) == colour).all(-1))[1].tolist()))


def test_front_lies_left_of_back_each_pixel_kept(page):
    picture = preview_picture([page(RED), page(BLUE, Side.BACK)])
    front, back = columns_of(picture, RED), columns_of(picture, BLUE)
    assert len(front) == len(back) == 60
    assert front[-1] < back[0]
    assert np.count_nonzero((np.asarray(picture) == RED).all(-1)) == 60 * 90


def test_of_many_different_sheets_the_first_are_shown_and_the_rest_is_counted(page):
    levels = [(10 * form + 5, 0, 0) for form in range(8)]
    pages = [page(level, form=form) for form, level in enumerate(levels)]
    picture = preview_picture(pages, forms=8)
    assert [bool(columns_of(picture, level)) for level in levels] == [form < FORMS_SHOWN for form in range(8)]


def test_the_same_pages_make_the_same_bytes_and_carry_no_date(page):
    first, again = (as_png(preview_picture([page(), page(BLUE, Side.BACK)])) for _ in range(2))
    assert first == again
    assert opened(first).info == {}


def test_no_page_is_no_picture():
    with pytest.raises(ValueError, match="no page"):
        preview_picture([])


def test_a_card_with_white_edges_can_be_told_from_its_ground(page):
    picture = opened(card_png([page((255, 255, 255))]))
    assert picture.getpixel((0, 0)) != (255, 255, 255)


@pytest.fixture
def written(monkeypatch):
    """The words that are written on a picture, in their order."""
    words = []
    monkeypatch.setattr(ImageDraw.ImageDraw, "text", lambda _draw, _at, text, **_look: words.append(text))
    return words


def test_each_side_has_its_name_above_it(page, written):
    preview_picture([page(), page(BLUE, Side.BACK)])
    assert written == ["front", "back"]


def test_different_sheets_are_numbered_and_the_last_one_counts_those_that_are_not_shown(page, written):
    preview_picture([page(form=form) for form in range(8)], forms=8)
    assert written == ["sheet 1, front", "sheet 2, front", "sheet 3, front (5 more not shown)"]


def test_of_sheets_that_are_all_shown_none_is_counted(page, written):
    preview_picture([page(form=form, side=side) for form in range(2) for side in Side], forms=2)
    assert written == ["sheet 1, front", "sheet 1, back", "sheet 2, front", "sheet 2, back"]


@pytest.mark.parametrize(("height", "size"), [(90, (60 + 2 * 10, 5 + 22 + 90 + 10)), (900, (104, 11 + 40 + 900 + 22))])
def test_room_and_letters_grow_with_the_picture(page, height, size):
    """A fortieth of the height is left around it, at least 10 px; letters have a forty-fifth, at least 11."""
    assert preview_picture([page(height=height)]).size == size


@pytest.mark.parametrize(("forms", "pages"), [(1, 1), (3, 3), (8, 3)])
def test_the_size_is_known_before_anything_is_rendered(forms, pages):
    plan = replace(PLAN, layout=two_up(flip=None), forms=(ONE_SIDED,) * forms)
    wide, high = page_px(plan)
    drawn = [
        Rendered(side=Side.FRONT, pixels=np.zeros((high, wide, 3), np.uint8), size=LETTER, form=form)
        for form in range(forms)
    ]
    assert preview_px(plan) == preview_picture(drawn, forms).size
    assert preview_px(plan)[0] > pages * wide
