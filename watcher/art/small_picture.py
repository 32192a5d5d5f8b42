"""A card's front as a picture of a few kilobytes, in letters: for lists that must show it wherever they are read."""

from base64 import b64encode
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from watcher.art.checks.edge_strips import within_trim
from watcher.art.model import CardFace
from watcher.art.picture_size import LONGEST_PX, MOST_LETTERS
from watcher.settings.card import CardSettings

_QUALITIES = (70, 55, 40, 25)


def small_picture_of(face: CardFace, card: CardSettings) -> str:
    """Give the side within its cut as a JPEG in base64 (RFC 4648 4); empty where there is no thumbnail.

    Args:
        face: the side.
        card: as it is opened out.
    """
    pixels = within_trim(face, card)
    return "" if pixels is None else small_picture(pixels)


def small_picture(pixels: NDArray[np.uint8]) -> str:
    """Give a picture (RGB, height x width x 3) reduced to `LONGEST_PX`, as a JPEG in base64."""
    picture = Image.fromarray(np.ascontiguousarray(pixels))
    picture.thumbnail((LONGEST_PX, LONGEST_PX), Image.Resampling.BOX)
    written = (_jpeg(picture, quality) for quality in _QUALITIES)
    return next((letters for letters in written if len(letters) <= MOST_LETTERS), "")


def _jpeg(picture: Image.Image, quality: int) -> str:
    packed = BytesIO()
    picture.save(packed, "JPEG", quality=quality)
    return b64encode(packed.getvalue()).decode("ascii")
