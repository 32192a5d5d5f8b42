"""A folded card for the customer: opened out, with its fold and the names of its panels, and folded."""

from collections.abc import Sequence

from PIL import Image, ImageDraw

from watcher.instructions.preview import BORDER, CAPTION, TABLE, caption_font
from watcher.sheet.check.render import Rendered
from watcher.terms import Fold, Side

_GAP_PX, _DASH_PX = 22, 9
_LEAST_LETTERS_PX, _LETTERS_SHARE = 15, 30  # a thirtieth of the longer side
_DARK, _LIGHT = (40, 40, 40), (255, 255, 255)
_FOLDED_SHARE = 0.6  # of the size in which the card is shown opened out

# The panels of each side as it is read opened out: the left one or the upper one first.
PANELS = {
    (Fold.LEFT, Side.FRONT): ("back cover", "front cover"),
    (Fold.LEFT, Side.BACK): ("inside left", "inside right"),
    (Fold.TOP, Side.FRONT): ("back cover", "front cover"),
    (Fold.TOP, Side.BACK): ("inside top", "inside bottom"),
}
_SIDES = {Side.FRONT: "outside, opened out", Side.BACK: "inside, opened out"}


def fold_drawn(picture: Image.Image, fold: Fold) -> Image.Image:
    """The picture with a dashed line, light and dark, along its fold."""
    drawn = picture.copy()
    draw, (wide, high) = ImageDraw.Draw(drawn), picture.size
    for number, at in enumerate(range(0, high if fold is Fold.LEFT else wide, _DASH_PX)):
        ends = (at, at + _DASH_PX - 1)
        line = [(wide // 2, end) if fold is Fold.LEFT else (end, high // 2) for end in ends]
        draw.line(line, fill=_LIGHT if number % 2 else _DARK, width=2)
    return drawn


def folded_card(opened: Sequence[Rendered], plain: Sequence[Rendered], fold: Fold) -> Image.Image:
    """Draw the card opened out, side by side, and below that as it is folded.

    Args:
        opened: its sides with their fold; the outside first.
        plain: the same without.
        fold: where it is folded.
    """
    if not opened:
        raise ValueError("there is no card to show")
    letters = max(_LEAST_LETTERS_PX, max(opened[0].pixels.shape) // _LETTERS_SHARE)
    above = [_opened(side, fold, letters) for side in opened]
    below = _folded(Image.fromarray(plain[0].pixels), fold, letters) if plain[0].side is Side.FRONT else []
    rows = [above, below] if below else [above]
    wide = max(sum(one.width for one in row) + _GAP_PX * (len(row) + 1) for row in rows)
    high = sum(max(one.height for one in row) + _GAP_PX for row in rows)
    canvas, top = Image.new("RGB", (wide, high), TABLE), 0
    for row in rows:
        left = _GAP_PX
        for one in row:
            canvas.paste(one, (left, top))
            left += one.width + _GAP_PX
        top += max(one.height for one in row) + _GAP_PX
    return canvas


def _opened(card: Rendered, fold: Fold, letters: int) -> Image.Image:
    """A side opened out, with its name above and those of its panels beside the fold."""
    picture, (first, second) = Image.fromarray(card.pixels), PANELS[fold, card.side]
    wide, high = picture.size
    font, head = caption_font(letters), 2 * letters
    beside = 0 if fold is Fold.LEFT else round(max(font.getlength(words) for words in (first, second))) + 10
    canvas = Image.new("RGB", (wide + beside + 2, high + 2 * head), TABLE)
    draw = ImageDraw.Draw(canvas)
    draw.text((0, 4), f"{_SIDES[card.side]}; dashed: the fold", fill=CAPTION, font=font)
    _framed(canvas, picture, (0, head))
    if fold is Fold.LEFT:
        for words, middle in ((first, wide // 4), (second, wide - wide // 4)):
            draw.text((middle, high + head + 6), words, fill=CAPTION, font=font, anchor="ma")
    else:
        for words, middle in ((first, high // 4), (second, high - high // 4)):
            draw.text((wide + 10, head + middle), words, fill=CAPTION, font=font, anchor="lm")
    return canvas


def _folded(outside: Image.Image, fold: Fold, letters: int) -> list[Image.Image]:
    """Front and back cover, each as it is read when the card is folded: behind a fold at the top the back is turned."""
    wide, high = outside.size
    if fold is Fold.LEFT:
        covers = (outside.crop((wide // 2, 0, wide, high)), outside.crop((0, 0, wide // 2, high)))
    else:
        back = outside.crop((0, 0, wide, high // 2)).transpose(Image.Transpose.ROTATE_180)
        covers = (outside.crop((0, high // 2, wide, high)), back)
    return [_cover(cover, words, letters) for cover, words in zip(covers, ("front cover", "back cover"), strict=True)]


def _cover(cover: Image.Image, words: str, letters: int) -> Image.Image:
    size = tuple(max(1, round(_FOLDED_SHARE * length)) for length in cover.size)
    small = cover.resize((size[0], size[1]), Image.Resampling.LANCZOS)
    font, said, head = caption_font(letters), f"folded: {words}", 2 * letters
    canvas = Image.new("RGB", (max(small.width + 2, round(font.getlength(said)) + 2), small.height + head + 2), TABLE)
    ImageDraw.Draw(canvas).text((0, 4), said, fill=CAPTION, font=font)
    _framed(canvas, small, (0, head))
    return canvas


def _framed(canvas: Image.Image, picture: Image.Image, at: tuple[int, int]) -> None:
    left, top = at
    ImageDraw.Draw(canvas).rectangle((left, top, left + picture.width + 1, top + picture.height + 1), outline=BORDER)
    canvas.paste(picture, (left + 1, top + 1))
