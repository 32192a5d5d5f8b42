"""Decide which colour profile of a picture goes with it into the PDF. Source: ICC.1:2010 7.2 (profile header)."""

import io
from functools import lru_cache
from importlib import resources

import numpy as np
from PIL import Image, ImageCms

# What untagged RGB is taken as. srgb.txt beside it tells where it comes from.
SRGB = (resources.files("watcher.art") / "srgb.icc").read_bytes()

_SPACE_OF = {1: b"GRAY", 3: b"RGB ", 4: b"CMYK"}
_CLASSES = (b"scnr", b"mntr", b"prtr", b"spac")  # what ISO 32000-1 8.6.5.5 allows for an ICCBased space
_LARGEST = 4_000_000  # bytes; CMYK press profiles reach about 3 MB (our own choice)
# Makers round the curve and primaries of sRGB differently, and some take a plain gamma of 2.2 for the curve (3.4 levels
# of 255 off at a fifth of full strength): nobody sees that on paper. Display P3 is 40 levels off and more. Our choice.
_SAME_LEVELS = 4


def fitting_profile(icc: bytes | None, colours: int) -> bytes | None:
    """The profile when it is whole and made for pictures of so many `colours`, else None (device colour)."""
    if not icc or not 128 <= len(icc) <= _LARGEST:
        return None
    fits = icc[16:20] == _SPACE_OF[colours] and icc[12:16] in _CLASSES and icc[36:40] == b"acsp"
    return icc if fits and int.from_bytes(icc[:4]) <= len(icc) and _opens(icc) else None


@lru_cache(maxsize=8)
def is_srgb(icc: bytes) -> bool:
    """Whether an RGB profile means what sRGB means, whoever made it and whatever it is called; False for a broken one.

    Asked of littleCMS for colours in every corner, not read from the name: names vary from maker to maker.
    """
    levels = np.linspace(0, 255, 6).astype(np.uint8)
    colours = np.stack(np.meshgrid(levels, levels, levels), -1).reshape(-1, 1, 3)
    try:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(icc))
        change = ImageCms.buildTransform(profile, ImageCms.createProfile("sRGB"), "RGB", "RGB", ImageCms.Intent(1))
        changed = ImageCms.applyTransform(Image.fromarray(colours), change)
    except (OSError, ImageCms.PyCMSError):
        return False
    return changed is not None and int(np.abs(np.asarray(changed).astype(int) - colours).max()) <= _SAME_LEVELS


def _opens(icc: bytes) -> bool:
    try:
        ImageCms.ImageCmsProfile(io.BytesIO(icc))
    except (OSError, ImageCms.PyCMSError):
        return False
    return True
