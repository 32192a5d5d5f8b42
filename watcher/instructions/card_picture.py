"""`ORDER_card.png`: the cards as they will be cut, for the customer's yes, under their name, size and number.

One design has its front and back side by side. Of several each side stands under its number, row by row; what all of
them share stands there once. A folded card is shown opened out, with its fold and its panels, and folded.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from PIL import Image, ImageDraw

from watcher.instructions.card_words import CardWords, under_words
from watcher.instructions.folded_picture import fold_drawn, folded_card
from watcher.instructions.preview import CAPTION, TABLE, as_png, caption_font, side_by_side
from watcher.sheet.check.render import Rendered
from watcher.terms import Fold, Side

CARD_SUFFIX = "_card.png"
_GAP_PX, _LETTERS_PX = 16, 15
_WIDEST = 1.5  # the picture of several, times as wide as it is high


def card_png(cards: Sequence[Rendered], numbers: Sequence[int] = (1,), about: CardWords | None = None) -> bytes:
    """Draw the trimmed faces, upright, as a PNG (RGB); the same bytes for the same faces.

    Args:
        cards: the faces to be shown; `form` counts the designs from 0.
        numbers: those of all designs, whether they are shown or not.
        about: what is written above them; None for nothing.

    Raises:
        ValueError: there is no face.
    """
    fold = about.fold if about is not None else None
    if len(numbers) > 1:
        picture = _in_rows([_with_fold(card, fold) for card in cards], numbers)
    elif fold is not None:
        picture = folded_card([_with_fold(card, fold) for card in cards], cards, fold)
    else:
        picture = side_by_side(cards, TABLE)
    return as_png(picture if about is None else under_words(picture, about))


def _with_fold(card: Rendered, fold: Fold | None) -> Rendered:
    return card if fold is None else replace(card, pixels=np.asarray(fold_drawn(Image.fromarray(card.pixels), fold)))


def _in_rows(cards: Sequence[Rendered], numbers: Sequence[int]) -> Image.Image:
    if not cards:
        raise ValueError("there is no card to show")
    font, head = caption_font(_LETTERS_PX), 2 * _LETTERS_PX
    height, width = (length + _GAP_PX for length in cards[0].pixels.shape[:2])
    sides = Counter(card.side for card in cards)
    together = sum(count > 1 for count in sides.values()) or 1  # a card's front and back stand in one row
    abreast = math.sqrt(_WIDEST * len(cards) * (height + head) / width)
    columns = min(len(cards), together * max(1, round(abreast / together)))
    rows = math.ceil(len(cards) / columns)
    hidden = len(numbers) - len({card.form for card in cards})
    tall = rows * (height + head) + _GAP_PX + (head if hidden else 0)
    canvas = Image.new("RGB", (columns * width + _GAP_PX, tall), TABLE)
    draw = ImageDraw.Draw(canvas)
    in_turn = sorted(cards, key=lambda card: (sides[card.side] == 1, numbers[card.form]))
    for at, card in enumerate(in_turn):
        row, column = divmod(at, columns)
        left, top = _GAP_PX + column * width, row * (height + head) + _LETTERS_PX // 2
        draw.text((left, top), _caption(card, numbers, sides), fill=CAPTION, font=font)
        canvas.paste(Image.fromarray(card.pixels), (left, top + head - _LETTERS_PX // 2))
    if hidden:
        said = f"{hidden} more of {len(numbers)} designs are not shown"
        draw.text((_GAP_PX, tall - head), said, fill=CAPTION, font=font)
    return canvas


def _caption(card: Rendered, numbers: Sequence[int], sides: Counter[Side]) -> str:
    """The number of the design, and the side where there are two."""
    if sides[card.side] == 1:
        return f"{card.side.value} of all"
    return f"{numbers[card.form]}" if len(sides) == 1 else f"{numbers[card.form]} {card.side.value}"
