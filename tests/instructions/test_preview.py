"""Pictures for people: what they show, and that they are the same bytes for the same pages."""

import io
from fractions import Fraction

import numpy as np
import pytest
from PIL import Image

from watcher.instructions.card_picture import card_png
from watcher.instructions.preview import FORMS_SHOWN, as_png, preview_picture
from watcher.layout.geometry import Size
from watcher.sheet.check.render import Rendered
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
