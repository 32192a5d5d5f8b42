"""Decode pixels once with Pillow, set them on white where they are see-through, and pack them for the PDF."""

import io
import os
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageStat

from watcher.art.encode import encode_bands, encode_deep_grey, encode_line_art
from watcher.art.formats.headers import DAMAGED, MOST_PIXELS, size_fault
from watcher.art.formats.openers import OPENERS, Opener
from watcher.art.formats.tiff import tiff_fault
from watcher.art.model import ImageStream
from watcher.errors import ArtUnreadable
from watcher.inbox.formats import FileFormat
from watcher.inbox.tiff_pages import TiffPage

_DEEP_GREY = ("I;16", "I;16L", "I;16B", "I;16N")
_AGAIN, _PLAINER = "Export it again", "Export it as RGB with 8 bits per colour, or as PNG"
_NUMBERS = ("I", "F")  # of a TIFF: 32 bits, with a sign, or floating point; its tags tell which
_ODD_COLOURS = {"F": "colours in floating point", "I": "32 bits per colour", "LAB": "Lab colours"}
_WHITE = 255
_BAND_ROWS = 64
_ONE_AT_A_TIME = threading.Lock()  # both sides are opened at once, but what warnings come to is set for all threads
_DEEP_WHITE = 65535


@dataclass(frozen=True, kw_only=True)
class Grounded:
    """A picture without its transparency.

    Attributes:
        image: grey or RGB.
        clear: how much of the area could be seen through, 0 to 1; 0 when the transparency it carried hid nothing.
    """

    image: Image.Image
    clear: float


def load_picture(
    shown: str, data: bytes, kind: FileFormat, page: TiffPage | None = None, least_px: int | None = None
) -> Image.Image:
    """The picture decoded to its last pixel, once.

    Args:
        shown: the name people know it by.
        data: the whole file.
        kind: the one format that is read.
        page: the page of a TIFF that is meant.
        least_px: a JPEG may be read smaller, by 2, 4 or 8, down to this on its longer side; each bit of it is read.

    Raises:
        ArtUnreadable: damaged, cut short, too large, or several pictures in one file.
    """
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    opener = OPENERS[kind]
    try:
        with _ONE_AT_A_TIME, warnings.catch_warnings(), _quiet(opener):
            warnings.simplefilter("ignore")  # odd tags that do not touch the pixels
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            picture = Image.open(io.BytesIO(data), formats=(str(opener.reader.format),))
            if page is not None and page.index:
                picture.seek(page.index)
            fault = size_fault(*picture.size)
            frames = getattr(picture, "n_frames", 1) if opener.may_move else 1
            if least_px is not None:
                picture.draft(None, _at_least(picture.size, least_px))
            elif fault is None and frames == 1:
                picture.load()
        if fault is None and frames == 1:
            picture.load()  # what is drafted is read here, both sides at once: its pixels hold nothing to warn of
            if page is None or picture.mode not in _NUMBERS:
                return picture
            raise ValueError(f"numbers of mode {picture.mode}")
    except MemoryError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as cause:
        raise ArtUnreadable(shown, f"has more than {MOST_PIXELS // 1_000_000} million pixels") from cause
    except Exception as cause:  # Pillow raises a dozen kinds for broken files (found by trying)
        odd = tiff_fault(page) if page else None
        raise ArtUnreadable(shown, odd or DAMAGED, _PLAINER if odd else _AGAIN) from cause
    if fault is not None:
        raise ArtUnreadable(shown, fault, "Export it smaller")
    raise several_pictures(shown, f"{frames} moving pictures")


def _at_least(size: tuple[int, int], longer_px: int) -> tuple[int, int]:
    """The size of a picture whose longer side is so long, in whole pixels."""
    longest = max(size)
    return max(1, size[0] * longer_px // longest), max(1, size[1] * longer_px // longest)


@contextmanager
def _quiet(opener: Opener) -> Iterator[None]:
    """Keeps what the TIFF library says of broken files from the terminal: it writes past Python, to the system's own.

    What counts comes as an error too.
    """
    try:
        terminal = os.dup(2) if opener.prints_faults else -1
    except OSError:  # there is none
        terminal = -1
    if terminal < 0:
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 2)
    try:
        yield
    finally:
        os.dup2(terminal, 2)
        os.close(nowhere)
        os.close(terminal)


def several_pictures(shown: str, what: str) -> ArtUnreadable:
    """The refusal of a file that holds more than one side can show."""
    return ArtUnreadable(shown, f"holds {what}; one side is one picture", "Export it as one still picture")


def with_white_ground(picture: Image.Image) -> Grounded | None:
    """The picture on white, or None when it carries no transparency at all."""
    if not picture.has_transparency_data:
        return None
    if picture.mode in _DEEP_GREY:
        return _deep_grey_on_white(picture)
    seen = _with_alpha(picture)
    alpha = seen.getchannel("A")
    if alpha.getextrema() == (_WHITE, _WHITE):
        return Grounded(image=seen.convert("L" if seen.mode == "LA" else "RGB"), clear=0.0)
    mode = "L" if seen.mode == "LA" else "RGB"
    ground = Image.new(mode, seen.size, _WHITE if mode == "L" else (_WHITE,) * 3)
    ground.paste(seen.convert(mode), mask=alpha)
    return Grounded(image=ground, clear=1 - ImageStat.Stat(alpha).mean[0] / _WHITE)


def _with_alpha(picture: Image.Image) -> Image.Image:
    if picture.mode in ("RGBA", "LA"):
        return picture
    key = picture.info.get("transparency")
    if picture.mode == "RGB" and isinstance(key, tuple) and max(key) > _WHITE:
        # Pillow loads 16 bits of colour as their upper 8 but leaves the see-through colour in 16.
        picture.info["transparency"] = tuple(value >> 8 for value in key)
    return picture.convert("LA" if picture.mode in ("1", "L", "La") else "RGBA")


def _deep_grey_on_white(picture: Image.Image) -> Grounded:
    """Grey of 16 bits with one see-through value; Pillow's own conversion clips to white (its issue 3011)."""
    pixels = np.array(picture)
    clear = pixels == picture.info.get("transparency")
    pixels[clear] = _DEEP_WHITE
    return Grounded(image=Image.fromarray(pixels), clear=float(clear.mean()))


def pack(shown: str, picture: Image.Image) -> ImageStream:
    """The picture's pixels, packed without loss.

    Raises:
        ArtUnreadable: its colours are of a kind that no printer's file holds (Lab, floating point).
    """
    if picture.mode in _DEEP_GREY:
        return encode_deep_grey(np.asarray(picture).astype(np.uint16, copy=False))
    if picture.mode == "1":
        return encode_line_art(np.asarray(picture))
    if picture.mode in ("P", "YCbCr", "RGBX"):
        picture = picture.convert("RGB")
    if picture.mode not in ("L", "RGB", "CMYK"):
        kind = _ODD_COLOURS.get(picture.mode, f"colours of a kind of its own ({picture.mode})")
        raise ArtUnreadable(shown, f"has {kind}, which is not taken", _PLAINER)
    return encode_bands(_bands(picture), picture.height)


def _bands(picture: Image.Image) -> Iterator[NDArray[np.uint8]]:
    """The pixels from the top down, a few rows at a time: all at once they would be in memory twice."""
    for top in range(0, picture.height, _BAND_ROWS):
        band = np.asarray(picture.crop((0, top, picture.width, min(top + _BAND_ROWS, picture.height))))
        yield band if band.ndim == 3 else band[:, :, np.newaxis]
