"""A picture for judging a place of a sheet that the check by sight found wrong.

The whole page with the place ringed, and beside it the place alone: as it is on the sheet, and as its art shows it.
"""

from PIL import Image, ImageDraw

from watcher.instructions.preview import BORDER, CAPTION, PAPER, as_png, caption_font
from watcher.sheet.check.evidence import SuspectPlace

_PAGE_PX, _PLACE_PX = 900, 800  # the longest side of each
_GAP, _LETTERS = 20, 18
_RING, _RING_PX = (230, 0, 120), 5


def place_png(place: SuspectPlace) -> bytes:
    """Draw the page, the place on it and what should be there, as a PNG (RGB)."""
    page = _ringed(place)
    made, wanted = (_shrunk(Image.fromarray(pixels), _PLACE_PX) for pixels in (place.made, place.wanted))
    pictures = (
        (f"{place.page.side} page, card {place.number} is ringed", page),
        ("on the sheet", made),
        ("as the art shows it", wanted),
    )
    height = max(picture.height for _, picture in pictures) + 2 * _GAP + 2 * _LETTERS
    width = sum(picture.width for _, picture in pictures) + _GAP * (len(pictures) + 1)
    canvas = Image.new("RGB", (width, height), PAPER)
    draw, font, left = ImageDraw.Draw(canvas), caption_font(_LETTERS), _GAP
    for words, picture in pictures:
        top = _GAP + 2 * _LETTERS
        draw.text((left, _GAP // 2), words, fill=CAPTION, font=font)
        draw.rectangle((left - 1, top - 1, left + picture.width, top + picture.height), outline=BORDER)
        canvas.paste(picture, (left, top))
        left += picture.width + _GAP
    return as_png(canvas)


def _ringed(place: SuspectPlace) -> Image.Image:
    whole = Image.fromarray(place.sheet)
    page = _shrunk(whole, _PAGE_PX)
    scale = page.width / whole.width
    left, top, right, bottom = (round(at * scale) for at in place.box)
    ring = (left - _RING_PX, top - _RING_PX, right + _RING_PX, bottom + _RING_PX)
    ImageDraw.Draw(page).rectangle(ring, outline=_RING, width=_RING_PX)
    return page


def _shrunk(picture: Image.Image, longest: int) -> Image.Image:
    scale = min(1.0, longest / max(picture.size))
    width, height = (max(1, round(length * scale)) for length in picture.size)
    return picture.resize((width, height), Image.Resampling.BOX) if scale < 1 else picture.copy()
