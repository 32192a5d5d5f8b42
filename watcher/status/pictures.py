"""Read the pictures that the status page carries in itself: phones show no file beside a page from a synced folder.

Where no worker has made a picture yet, as of an order that waits for its back, the page shows the file of the art.

Nothing is decoded here: what a file or a ticket holds is looked at only as far as it takes to know that it is small.
"""

import hashlib
import os
from base64 import b64decode, b64encode
from pathlib import Path

from watcher.status.model import Picture

MOST_BYTES = 90_000  # of one PNG
_MOST_PX = 4000
_MOST_BESIDE_BYTES = 4_000_000  # of art that lies beside the page
_SHOWN = {".png", ".jpg", ".jpeg", ".webp"}
_JPEG_START = b"\xff\xd8\xff"
_PNG_START = b"\x89PNG\r\n\x1a\n"  # PNG (ISO/IEC 15948) 5.2
_SIZE_AT = 16  # width and height, 4 bytes each, in the first chunk; 11.2.2


def jpeg_picture(letters: str) -> Picture | None:
    """Give the JPEG that a ticket has in base64; None for anything else."""
    try:
        data = b64decode(letters, validate=True)
    except ValueError:
        return None
    if not data.startswith(_JPEG_START) or letters.endswith("==="):  # Python 3.11 takes four of them for nothing
        return None
    return _picture("image/jpeg", letters)


def png_picture(file: Path) -> Picture | None:
    """Give a small PNG file; None where there is none, or one that is too large for a page."""
    try:
        with file.open("rb") as opened:
            data = opened.read(MOST_BYTES + 1)
    except OSError:
        return None
    width, height = (int.from_bytes(data[at : at + 4]) for at in (_SIZE_AT, _SIZE_AT + 4))
    fits = len(data) <= MOST_BYTES and 0 < width <= _MOST_PX and 0 < height <= _MOST_PX
    if not fits or not data.startswith(_PNG_START):
        return None
    return _picture("image/png", b64encode(data).decode("ascii"))


def steps_to(place: Path, outbox: Path) -> tuple[str, ...]:
    """Give the way from the outbox, where the page lies; none where there is none, as to another drive."""
    try:
        return Path(os.path.relpath(place, outbox)).parts
    except ValueError:
        return ()


def is_shown_by_browsers(name: str, size_bytes: int) -> bool:
    """Whether a browser shows art as it is, and it is not so large that a list should not ask for it."""
    return Path(name).suffix.lower() in _SHOWN and size_bytes <= _MOST_BESIDE_BYTES


def _picture(kind: str, letters: str) -> Picture:
    return Picture(kind=kind, letters=letters, mark=hashlib.sha256(letters.encode("ascii")).hexdigest()[:16])
