"""Checks of both sides together: their shapes, their sizes, and whether they are two different pictures."""

from collections.abc import Iterable
from fractions import Fraction

import numpy as np
from PIL import Image

from watcher.art.fit_words import show_extent, show_shape
from watcher.art.model import CardFace, Thumbnail
from watcher.art.reading import SAME_SHAPE, shape_off
from watcher.settings.card import CardSettings
from watcher.terms import Finding, Level

_OTHER_RESOLUTION = Fraction(5, 4)  # less is not seen side by side (our own choice)
# Both sides are compared at so many px on the longer side. One design as PNG and as JPEG of quality 60 differs by up to
# 9 levels of 255 then, and one other letter of 4 mm by 130 (our own measurement). Exports at two resolutions differ by
# as much as that along every edge, so nothing is said of them.
_COMPARED_PX = 160
_SAME_LEVELS = 10
_FLAT = 6


def same_shape(front: CardFace, back: CardFace, card: CardSettings) -> Iterable[Finding]:
    """Find a front and a back of two shapes: most likely one was exported with bleed and the other without."""
    one, other = front.art, back.art
    if shape_off(one.extent, other.extent) <= SAME_SHAPE:
        return
    said = (
        f"{one.file} ({show_extent(one)}, shape {show_shape(one.extent)}) and "
        f"{other.file} ({show_extent(other)}, shape {show_shape(other.extent)}) are not of one shape. "
        "Look whether one of them lacks its bleed."
    )
    yield Finding(level=Level.WARN, code="sides-differ", message=said)


def same_size(front: CardFace, back: CardFace, card: CardSettings) -> Iterable[Finding]:
    """Find pages of one shape and two sizes, or pictures of two resolutions: worth knowing, both are made to fit."""
    one, other = front.art, back.art
    if shape_off(one.extent, other.extent) > SAME_SHAPE or (one.width_px is None) != (other.width_px is None):
        return
    ratio = max(one.extent.width, other.extent.width) / min(one.extent.width, other.extent.width)
    limit = 1 + SAME_SHAPE if one.width_px is None else _OTHER_RESOLUTION
    if ratio <= limit:
        return
    what = "size" if one.width_px is None else "resolution"
    ppi = "" if front.fit.ppi is None or back.fit.ppi is None else f": {int(front.fit.ppi)} and {int(back.fit.ppi)} ppi"
    said = f"{one.file} ({show_extent(one)}) and {other.file} ({show_extent(other)}) differ in {what}{ppi}."
    yield Finding(level=Level.NOTE, code="sides-differ-in-size", message=said)


def same_picture(front: CardFace, back: CardFace, card: CardSettings) -> Iterable[Finding]:
    """Find a back that is the front again; two sides of one flat colour are no news."""
    if front.art.thumbnail is None or back.art.thumbnail is None or front.art.extent != back.art.extent:
        return
    if _differ_clearly(front.art.thumbnail, back.art.thumbnail):  # nearly always
        return
    one, other = _small(front.art.thumbnail), _small(back.art.thumbnail)
    if one.shape != other.shape or int(np.ptp(one, axis=(0, 1)).max()) <= _FLAT:
        return
    if int(np.abs(one - other).max()) <= _SAME_LEVELS:
        said = (
            f"{back.art.file} looks just like {front.art.file}: front and back are the same. "
            "Look whether the right page was exported for the back."
        )
        yield Finding(level=Level.WARN, code="back-is-front", message=said)


def _differ_clearly(one: Thumbnail, other: Thumbnail) -> bool:
    """Whether a band across the middle tells two sides apart: squares of a small picture's size, twice as far off."""
    height, width = one.picture.shape[:2]
    side = max(height, width) // _COMPARED_PX
    if one.picture.shape != other.picture.shape or side < 1:
        return False
    seen = np.s_[height // 2 : height // 2 + side, : width // side * side]
    squares = [
        thumbnail.picture[seen].reshape(-1, width // side, side, 3).mean(axis=(0, 2)) for thumbnail in (one, other)
    ]
    return bool(np.abs(squares[0] - squares[1]).max() > 2 * _SAME_LEVELS)


def _small(thumbnail: Thumbnail) -> np.ndarray[tuple[int, ...], np.dtype[np.int16]]:
    picture = Image.fromarray(thumbnail.picture)
    scale = _COMPARED_PX / max(picture.size)
    size = (max(1, round(picture.width * scale)), max(1, round(picture.height * scale)))
    return np.asarray(picture.resize(size, Image.Resampling.BOX, reducing_gap=2.0)).astype(np.int16)
