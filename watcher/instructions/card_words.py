"""Word what the customer's picture says of the card: name, size, paper, how many, sides, day."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from PIL import Image, ImageDraw

from watcher.instructions.preview import CAPTION, TABLE, caption_font
from watcher.instructions.words import day, is_given_in_inches
from watcher.layout.geometry import Size
from watcher.orders.quantity import counted
from watcher.orders.wishes import Wishes
from watcher.settings.to_toml import SheetSetup
from watcher.terms import Fold
from watcher.units import mm_to_inches, show_mm, show_size

NOT_TO_SCALE = "not to scale on screen"
_NAME_PX, _LETTERS_PX, _EDGE_PX = 30, 19, 18  # of a picture of the usual width; more of a wider one
_USUAL_WIDE = 1000
_LEAST_WIDE = 620
_INK = (25, 25, 25)


@dataclass(frozen=True, kw_only=True)
class CardWords:
    """What is written above the picture of a card.

    Attributes:
        name: of the order.
        lines: below it.
        fold: where the card is folded, or None.
    """

    name: str
    lines: tuple[str, ...]
    fold: Fold | None = None


def card_words(name: str, setup: SheetSetup, wishes: Wishes, made_on: str, *, designs: int = 1) -> CardWords:
    """Say what the customer gets.

    Args:
        name: of the order.
        setup: the card as its art is read, and its paper.
        wishes: what was asked for.
        made_on: the day of the first making, which stands there where no due date is known.
        designs: how many different cards there are.
    """
    card = setup.card
    each = f"{counted(designs, 'design')} x " if designs > 1 else ""
    sides = "printed on one side" if card.sides == 1 else "printed on both sides"
    size = _size(card.trim)
    if card.fold is not None:
        size = f"{size} folded, {_size(card.flat, inches=is_given_in_inches(card.trim))} opened out"
    on = setup.sheet.paper or setup.sheet.name
    return CardWords(
        name=name,
        lines=(f"{each}{counted(wishes.quantity, 'card')}, {size}, {sides}", f"on {on}", _when(wishes.due, made_on)),
        fold=card.fold,
    )


def _when(due: date | None, made_on: str) -> str:
    return f"Due {day(due)}" if due else f"As of {made_on}"


def _size(size: Size, *, inches: bool | None = None) -> str:
    """In the unit in which the settings give it."""
    if is_given_in_inches(size) if inches is None else inches:
        return f"{show_mm(mm_to_inches(size.width), 3)} x {show_mm(mm_to_inches(size.height), 3)} in"
    return show_size(size.width, size.height)


def under_words(picture: Image.Image, about: CardWords) -> Image.Image:
    """The picture, and above it what is said of the card."""
    wide = max(picture.width, _LEAST_WIDE)
    larger = max(1.0, wide / _USUAL_WIDE)
    name_px, letters_px, edge = (round(larger * px) for px in (_NAME_PX, _LETTERS_PX, _EDGE_PX))
    room = wide - 2 * edge
    lines = [(line, name_px, True) for line in _wrapped(about.name, name_px, room, bold=True)]
    for said in about.lines:
        lines += [(line, letters_px, False) for line in _wrapped(said, letters_px, room)]
    head = 2 * edge + sum(round(1.35 * size) for _, size, _ in lines)
    canvas = Image.new("RGB", (wide, head + picture.height + edge + letters_px), TABLE)
    draw, top = ImageDraw.Draw(canvas), edge
    for line, size, bold in lines:
        draw.text((edge, top), line, fill=_INK, font=caption_font(size, bold=bold))
        top += round(1.35 * size)
    canvas.paste(picture, ((wide - picture.width) // 2, head))
    below = (wide - edge, head + picture.height)
    draw.text(below, NOT_TO_SCALE, fill=CAPTION, font=caption_font(letters_px), anchor="ra")
    return canvas


def _wrapped(text: str, size_px: int, room: int, *, bold: bool = False) -> Iterator[str]:
    """Lines that fit; words that are longer than a line are broken."""
    font, line = caption_font(size_px, bold=bold), ""
    for letter in " ".join(text.split()):
        if font.getlength(line + letter) > room:
            head, space, tail = line.rpartition(" ")
            yield head if space else line
            line = tail if space else ""
        line += letter
    yield line
