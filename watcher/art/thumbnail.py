"""Reduce art to a small picture for the checks, as soon as it is decoded, so that the checks cost little."""

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from watcher.art.model import Thumbnail
from watcher.terms import Turn

# Reduced by whole numbers to 800 to 1599 px on the longer side. A 5 x 7 in card with bleed at 300 ppi has 6 px a
# millimetre then: a hairline of 0.1 mm still shows with two fifths of its strength, and an edge is placed within
# 0.1 mm (our own choice).
SHORTEST_PX = 800
_DEEP_GREY = ("I;16", "I;16L", "I;16B", "I;16N")
_FULL_INK = 255
_Number = TypeVar("_Number", bound=np.generic)


def make_thumbnail(
    picture: Image.Image, *, turn: Turn = Turn.NONE, mirrored: bool = False, clear: float = 0.0
) -> Thumbnail:
    """Reduce a decoded picture without transparency to a `Thumbnail`.

    Args:
        picture: any mode that is taken as art; CMYK with ink = 255.
        turn: with `mirrored` what brings it upright, as in `Raster`.
        mirrored: see `turn`.
        clear: as in `Thumbnail`.
    """
    small = _reduced(_plain(picture), max(picture.size) // SHORTEST_PX)
    ink = _upright(_ink(small), turn, mirrored) if small.mode == "CMYK" else None
    return Thumbnail(picture=_upright(_rgb(small), turn, mirrored), ink=ink, clear=clear)


class Reducer:
    """Make the same `Thumbnail` from an RGB, grey or palette picture that comes in bands, from the top down.

    Args:
        size: of the whole picture.
    """

    def __init__(self, size: tuple[int, int]) -> None:
        self._factor = max(1, max(size) // SHORTEST_PX)
        self._bands: list[NDArray[np.uint8]] = []

    def rows_at_once(self, about: int) -> int:
        """How many rows a band must have, but for the last one: about so many."""
        return -(-about // self._factor) * self._factor

    def add(self, band: Image.Image) -> None:
        """Take in the next rows."""
        self._bands.append(_rgb(_reduced(_plain(band), self._factor)))

    def thumbnail(self, *, turn: Turn, mirrored: bool, clear: float) -> Thumbnail:
        """The thumbnail, when the last row is in; for the arguments see `make_thumbnail`."""
        return Thumbnail(picture=_upright(np.concatenate(self._bands), turn, mirrored), clear=clear)


def _reduced(picture: Image.Image, factor: int) -> Image.Image:
    return picture.reduce(factor) if factor > 1 else picture


def _plain(picture: Image.Image) -> Image.Image:
    """The picture in a mode that can be reduced: grey, RGB or CMYK of 8 bits."""
    if picture.mode in _DEEP_GREY:
        return Image.fromarray((np.asarray(picture) >> 8).astype(np.uint8))
    if picture.mode in ("L", "RGB", "CMYK"):
        return picture
    return picture.convert("L" if picture.mode == "1" else "RGB")


def _rgb(picture: Image.Image) -> NDArray[np.uint8]:
    return np.asarray(picture if picture.mode == "RGB" else picture.convert("RGB"))  # converting to itself is a copy


def _ink(picture: Image.Image) -> NDArray[np.uint16]:
    inks: NDArray[np.uint32] = np.asarray(picture).sum(axis=2, dtype=np.uint32)
    return (inks * 100 // _FULL_INK).astype(np.uint16)


def _upright(pixels: NDArray[_Number], turn: Turn, mirrored: bool) -> NDArray[_Number]:
    return np.ascontiguousarray(np.rot90(np.fliplr(pixels) if mirrored else pixels, turn // 90))
