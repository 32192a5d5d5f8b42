"""Decode PNG colours of 16 bits that cannot pass through (interlaced, or see-through somewhere), with all their bits.

Pillow gives the upper 8 bits of each sample. Told that samples have their lower byte first, it gives the lower 8; the
two together are the sample. Source: PNG (ISO/IEC 15948) 7.1: samples of 16 bits have their higher byte first.
"""

import io
import struct
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from watcher.art.formats.png import PngParts, pixels_alone

_RGB, _GREY_ALPHA, _RGB_ALPHA = 2, 4, 6  # colour types, 11.2.2
_UPPER = {_RGB: "RGB;16B", _RGB_ALPHA: "RGBA;16B"}
_LOWER = {_RGB: "RGB;16L", _RGB_ALPHA: "RGBA;16L"}
_MODES = {_RGB: "RGB", _RGB_ALPHA: "RGBA", _GREY_ALPHA: "RGBA"}
_WHITE = 65535
MOST_PIXELS = 30_000_000  # beyond that 8 bits are kept: what is unpacked would not fit into a worker's memory

Deep = NDArray[np.uint16]


@dataclass(frozen=True, kw_only=True)
class DeepPixels:
    """Colours without transparency.

    Attributes:
        samples: height x width x 1 (grey) or 3 (RGB), on white where they were see-through.
        clear: how much of the area could be seen through, 0 to 1.
    """

    samples: Deep
    clear: float


def deep_pixels(parts: PngParts) -> DeepPixels | None:
    """All 16 bits of a picture's samples; None for one that has no more than 8, is grey alone, or is very large.

    Raises:
        OSError, SyntaxError, ValueError: damaged; Pillow's own.
    """
    if parts.bits != 16 or parts.colour_type not in _MODES:
        return None
    if parts.width_px * parts.height_px > MOST_PIXELS:
        return None
    file = pixels_alone(parts)
    if parts.colour_type == _GREY_ALPHA:  # four bytes a pixel: grey and alpha, the higher byte of each first
        four = _decoded(file, "RGBA", "RGBA").astype(np.uint16)
        samples = np.stack([four[:, :, 0] << 8 | four[:, :, 1], four[:, :, 2] << 8 | four[:, :, 3]], axis=-1)
    else:
        mode = _MODES[parts.colour_type]
        upper = _decoded(file, mode, _UPPER[parts.colour_type]).astype(np.uint16)
        samples = upper << 8 | _decoded(file, mode, _LOWER[parts.colour_type])
    return _on_white(samples, parts)


def _decoded(file: bytes, mode: str, raw: str) -> NDArray[np.uint8]:
    """The picture's bytes, its samples read as `raw` says."""
    picture: Any = Image.open(io.BytesIO(file), formats=("PNG",))
    picture._mode = mode
    picture.info.pop("transparency", None)
    picture.tile = [tile._replace(args=raw) for tile in picture.tile]
    picture.load()
    return np.asarray(picture)


def _on_white(samples: Deep, parts: PngParts) -> DeepPixels:
    if parts.colour_type == _RGB:
        if not parts.clear:
            return DeepPixels(samples=samples, clear=0.0)
        key = np.array(struct.unpack(">3H", parts.clear[:6].ljust(6, b"\0")), np.uint16)  # tRNS, 11.3.2.1
        see_through = (samples == key).all(axis=-1)
        samples[see_through] = _WHITE
        return DeepPixels(samples=samples, clear=float(see_through.mean()))
    colours, alpha = samples[:, :, :-1], samples[:, :, -1:]
    if bool((alpha == _WHITE).all()):
        return DeepPixels(samples=np.ascontiguousarray(colours), clear=0.0)
    seen = colours.astype(np.uint32) * alpha + np.uint32(_WHITE) * (_WHITE - alpha.astype(np.uint32))
    rounded = (seen + _WHITE // 2) // _WHITE
    return DeepPixels(samples=rounded.astype(np.uint16), clear=1 - float(alpha.mean()) / _WHITE)
