"""Draw pictures for people: the finished sheet, and the card as it will be cut; front and back side by side.

Comes in: what the finished PDF was rendered to (`sheet.check.render`). Goes out: a picture, or the bytes of its PNG.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from watcher.sheet.check.render import Rendered, page_px
from watcher.sheet.draw.plan import SheetPlan
from watcher.sheet.png_file import png_file

_FONTS = Path(__file__).parent.parent / "sheet" / "fonts"
FONT_FILE, BOLD_FILE = _FONTS / "DejaVuSans.ttf", _FONTS / "DejaVuSans-Bold.ttf"
PAPER = (255, 255, 255)
BORDER = (170, 170, 170)
CAPTION = (90, 90, 90)
TABLE = (232, 232, 232)  # under cards: one with white edges must be seen to end


FORMS_SHOWN = 3  # of many different sheets, the first ones


@dataclass(frozen=True, kw_only=True)
class LatePicture:
    """A picture of known size that may not be rendered yet.

    Attributes:
        size_px: its width and height, to a pixel a page.
        picture: gives it; waits for it.
    """

    size_px: tuple[int, int]
    picture: Callable[[], Image.Image]


def preview_px(plan: SheetPlan) -> tuple[int, int]:
    """Give how large the preview of sheets will be, in pixels."""
    pages = min(len(plan.forms), FORMS_SHOWN) * (2 if plan.two_sided else 1)
    return _frame([page_px(plan)] * pages).size_px


def preview_picture(pages: Sequence[Rendered], forms: int = 1) -> Image.Image:
    """Draw the sides of the sheet (RGB), front left and back right; different sheets side by side.

    Args:
        pages: of all sheets; of many different ones the first `FORMS_SHOWN` are shown.
        forms: how many different sheets there are.

    Raises:
        ValueError: there is no page.
    """
    return side_by_side([page for page in pages if page.form < FORMS_SHOWN], PAPER, forms)


def as_png(picture: Image.Image) -> bytes:
    """Write an RGB picture as a PNG; without a date, so that the same pixels give the same bytes."""
    return png_file(np.asarray(picture))


def late_png(late: LatePicture) -> bytes:
    """Write a picture as a PNG; waits until it is rendered."""
    return as_png(late.picture())


def side_by_side(pictures: Sequence[Rendered], ground: tuple[int, int, int], forms: int = 1) -> Image.Image:
    """Pictures beside each other, each with its side above it, on a ground of one colour.

    With several `forms` the caption says which sheet it is, and the last one how many are not shown.

    Raises:
        ValueError: there is nothing to show.
    """
    if not pictures:
        raise ValueError("there is no page to show")
    size_px, gap, head, letters = _frame([(one.pixels.shape[1], one.pixels.shape[0]) for one in pictures])
    canvas, font = Image.new("RGB", size_px, ground), caption_font(letters)
    draw, left = ImageDraw.Draw(canvas), gap
    for picture in pictures:
        height, width, _ = picture.pixels.shape
        draw.text((left, gap // 2), _caption(picture, forms, last=picture is pictures[-1]), fill=CAPTION, font=font)
        draw.rectangle((left - 1, head - 1, left + width, head + height), outline=BORDER)
        canvas.paste(Image.fromarray(picture.pixels), (left, head))
        left += width + gap
    return canvas


class _Frame(NamedTuple):
    """What stands around pictures: the whole size, the gap between them, the room above them, the height of letters."""

    size_px: tuple[int, int]
    gap: int
    head: int
    letters: int


def _frame(sizes: Sequence[tuple[int, int]]) -> _Frame:
    tallest = max(height for _, height in sizes)
    gap, letters = max(10, tallest // 40), max(11, tallest // 45)
    head = gap // 2 + 2 * letters
    wide = sum(width for width, _ in sizes) + gap * (len(sizes) + 1)
    return _Frame(size_px=(wide, head + tallest + gap), gap=gap, head=head, letters=letters)


def _caption(picture: Rendered, forms: int, *, last: bool) -> str:
    if forms == 1:
        return picture.side.value
    more = forms - picture.form - 1
    rest = f" ({more} more not shown)" if last and more else ""
    return f"sheet {picture.form + 1}, {picture.side.value}{rest}"


@lru_cache(maxsize=8)
def caption_font(size_px: int, *, bold: bool = False) -> ImageFont.FreeTypeFont:
    """The typeface of captions."""
    return ImageFont.truetype(BOLD_FILE if bold else FONT_FILE, size_px)
