"""Open a scan as grey pixels, under the same limits as art, since the file comes from outside."""

import struct
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from PIL import ExifTags, Image

from watcher.art.formats.openers import picture_format
from watcher.art.pixels import load_picture
from watcher.errors import ArtUnreadable, WrongUsage
from watcher.records.plain_text import one_line

Grey: TypeAlias = npt.NDArray[np.uint8]

LARGEST_SCAN = 400_000_000  # bytes; an uncompressed colour scan of A3 at 600 ppi is 210 MB
_PLAUSIBLE_PPI = (60.0, 1300.0)
# Exif 2.3 (CIPA DC-008) table 7: ExposureTime, FNumber, ISO speed, focal length; a scanner has none of them
_CAMERA_TAGS = {0x829A, 0x829D, 0x8827, 0x920A}
_WAY_OUT = "Scan it again, in grey at 300 ppi, and save it as PNG, TIFF or JPEG"


class ScanRefused(WrongUsage):
    """A scan cannot be used; the message says which, why, and what to do."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Scan:
    """One scan.

    Attributes:
        file: the name people know it by.
        grey: rows from the top, 0 black to 255 white.
        ppi: what the file says of its resolution; None when it says nothing that can be.
        is_photo: whether the file tells an exposure, as cameras and telephones write it.
    """

    file: str
    grey: Grey
    ppi: float | None
    is_photo: bool = False


def open_scan(path: Path) -> Scan:
    """Open a scan.

    Raises:
        ScanRefused: not there, not a PNG, JPEG, TIFF or WebP picture, damaged, or too large.
    """
    name = one_line(path.name)
    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST_SCAN + 1)
    except OSError as error:
        raise ScanRefused(f"{name} cannot be read: {error.strerror}.") from error
    if len(data) > LARGEST_SCAN:
        raise ScanRefused(f"{name} is larger than {LARGEST_SCAN // 1_000_000} MB. {_WAY_OUT}.")
    kind = picture_format(data)
    if kind is None:
        raise ScanRefused(f"{name} is no picture that can be read. {_WAY_OUT}.")
    try:
        picture = load_picture(name, data, kind)
        return Scan(file=name, grey=_grey(name, picture), ppi=_ppi(picture), is_photo=_is_photo(picture))
    except ArtUnreadable as error:
        raise ScanRefused(f"{name} {error.reason}. {_WAY_OUT}.") from error


def _grey(name: str, picture: Image.Image) -> Grey:
    if picture.mode.startswith("I;16"):  # Pillow's own conversion clips to white (Pillow issue 3011)
        return (np.asarray(picture).astype(np.uint16) >> 8).astype(np.uint8)
    if picture.mode in ("I", "F", "LAB", "HSV"):
        raise ScanRefused(f"{name} has colours of a kind that is not taken ({picture.mode}). {_WAY_OUT}.")
    return np.asarray(picture.convert("L"), dtype=np.uint8)


def _ppi(picture: Image.Image) -> float | None:
    said = picture.info.get("dpi")
    try:
        ppi = float(said[0]) if said else 0.0
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return ppi if _PLAUSIBLE_PPI[0] <= ppi <= _PLAUSIBLE_PPI[1] else None


def _is_photo(picture: Image.Image) -> bool:
    try:
        return bool(_CAMERA_TAGS & picture.getexif().get_ifd(ExifTags.IFD.Exif).keys())
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, SyntaxError, OSError, struct.error):
        return False  # damaged notes beside a picture that is sound
