"""The picture for the customer: common practice of a proof sheet, no source."""

import io

import numpy as np
import pytest
from PIL import Image, ImageDraw

from watcher.instructions.card_picture import card_png
from watcher.instructions.preview import TABLE, as_png, side_by_side
from watcher.layout.geometry import Size
from watcher.sheet.check.render import Rendered
from watcher.terms import Side

TRIM = Size(85, 55)


def card(form, side=Side.FRONT):
    """A card of one colour that tells which it is."""
    pixels = np.full((60, 90, 3), (form, 200 if side is Side.FRONT else 100, 50), np.uint8)
    return Rendered(side=side, pixels=pixels, size=TRIM, form=form)


def lying(data):
    """By colour where the upper left of each card lies: row, column."""
    pixels = np.asarray(Image.open(io.BytesIO(data))).astype(int)
    colours = np.where(pixels[:, :, 2] == 50, pixels[:, :, 0] * 256 + pixels[:, :, 1], -1)
    found = zip(*(each.tolist() for each in np.unique(colours, return_index=True)), strict=True)
    return {divmod(colour, 256): divmod(at, pixels.shape[1]) for colour, at in found if colour >= 0}


@pytest.fixture
def written(monkeypatch):
    """The words that are written on a picture, in their order."""
    words = []
    monkeypatch.setattr(ImageDraw.ImageDraw, "text", lambda _draw, _at, text, **_look: words.append(text))
    return words


@pytest.mark.parametrize("count", [2, 3, 5, 7, 24])
def test_a_front_and_its_back_stand_beside_each_other(count):
    cards = [card(form, side) for form in range(count) for side in Side]
    places = lying(card_png(cards, range(1, count + 1)))
    assert len(places) == 2 * count
    for form in range(count):
        front, back = places[form, 200], places[form, 100]
        assert front[0] == back[0]
        assert 90 < back[1] - front[1] < 120


def test_cards_stand_row_by_row_in_the_order_of_their_numbers():
    """As they lie on sheets for stacks: 1, 4, 2, 5, 3, 6."""
    places = lying(card_png([card(form) for form in range(6)], [1, 4, 2, 5, 3, 6]))
    assert sorted(range(6), key=lambda form: places[form, 200]) == [0, 2, 4, 1, 3, 5]


def test_a_side_that_all_share_stands_there_once_and_last():
    places = lying(card_png([card(0), card(0, Side.BACK), card(1), card(2)], [1, 2, 3]))
    assert max(places, key=lambda one: places[one]) == (0, 100)


def test_designs_that_are_not_shown_are_told_below():
    cards = [card(form) for form in range(4)]
    whole, part = (Image.open(io.BytesIO(card_png(cards, range(count)))) for count in (4, 9))
    assert part.width == whole.width
    foot = np.asarray(part)[whole.height - 8 :]
    assert foot.min() < 150  # there is something written


def test_no_card_is_no_picture():
    with pytest.raises(ValueError, match="no card"):
        card_png([], [1, 2])


def test_one_design_has_its_sides_beside_each_other_without_a_number():
    cards = [card(0), card(0, Side.BACK)]
    assert card_png(cards, [7]) == as_png(side_by_side(cards, TABLE))


def test_several_cards_make_a_picture_half_as_wide_again_as_it_is_high():
    """By hand: a card of 90 x 60 px takes 106 x 106 with its gap and number, four take 2 x 2; 16 px are left round."""
    assert Image.open(io.BytesIO(card_png([card(form) for form in range(4)], range(4)))).size == (228, 228)
    assert Image.open(io.BytesIO(card_png([card(form) for form in range(6)], range(6)))).size == (334, 228)


def test_each_card_has_its_number_and_its_side_where_there_are_two(written):
    card_png([card(0), card(1)], [4, 5])
    card_png([card(0), card(0, Side.BACK), card(1), card(1, Side.BACK)], [4, 5])
    assert written == ["4", "5", "4 front", "4 back", "5 front", "5 back"]


def test_a_side_that_all_share_says_so(written):
    card_png([card(0, Side.BACK), card(0), card(1)], [4, 5])
    assert written == ["4 front", "5 front", "back of all"]


def test_how_many_designs_are_not_shown_is_written_last(written):
    card_png([card(form) for form in range(4)], range(1, 10))
    assert written[-1] == "5 more of 9 designs are not shown"
