"""A folded card for the customer. Panels of a folded card: common practice, no source."""

import numpy as np
import pytest
from PIL import Image

from watcher.instructions.folded_picture import fold_drawn, folded_card
from watcher.layout.geometry import Size
from watcher.sheet.check.render import Rendered
from watcher.terms import Fold, Side

RED, BLUE = (200, 0, 0), (0, 0, 200)


def side_of(fold, which=Side.FRONT):
    """A side whose first panel (left, or upper) is red and whose second is blue."""
    pixels = np.full((200, 300, 3), RED, np.uint8)
    if fold is Fold.LEFT:
        pixels[:, 150:] = BLUE
    else:
        pixels[100:] = BLUE
    return Rendered(side=which, pixels=pixels, size=Size(150, 100))


def patches(picture, colour):
    """Of the connected columns of a colour in the lowest picture: left, right."""
    below = np.asarray(picture)[-60:]
    columns = np.flatnonzero((below == colour).all(axis=2).any(axis=0))
    return (columns.min(), columns.max()) if len(columns) else None


@pytest.mark.parametrize("fold", list(Fold))
def test_the_fold_is_drawn_through_the_middle(fold):
    before = side_of(fold).pixels
    changed = np.argwhere((np.asarray(fold_drawn(Image.fromarray(before), fold)) != before).any(axis=2))
    axis, middle = (1, 150) if fold is Fold.LEFT else (0, 100)
    assert abs(changed[:, axis] - middle).max() <= 2
    assert len(set(changed[:, 1 - axis])) > 150


@pytest.mark.parametrize("fold", list(Fold))
def test_folded_the_front_cover_comes_first_and_then_the_back(fold):
    """The outside of a spread that is folded at the left has its front cover right; at the top, below."""
    side = side_of(fold)
    picture = folded_card([side], [side], fold)
    front, back = patches(picture, BLUE), patches(picture, RED)
    assert front is not None
    assert back is not None
    assert front[1] < back[0]


def test_without_a_side_there_is_nothing_to_fold():
    with pytest.raises(ValueError, match="no card"):
        folded_card([], [], Fold.TOP)
