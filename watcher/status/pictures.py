"""Pictures that a page carries in itself: it is read on phones, which show no file beside a page from a synced folder.

Nothing is decoded here: what a file or a ticket holds is looked at only as far as it takes to know that it is small.
"""

import hashlib
import re
from base64 import b64decode, b64encode
from pathlib import Path

from watcher.status.model import Picture

MOST_BYTES = 120_000  # of one PNG
_MOST_PX = 4000
_BASE64 = re.compile(r"(?:[A-Za-z0-9+/]{4})+(?:[A-Za-z0-9+/]{2}==|[A-Za-z0-9+/]{3}=)?")
_JPEG_START = b"\xff\xd8\xff"
_PNG_START = b"\x89PNG\r\n\x1a\n"  # PNG (ISO/IEC 15948) 5.2
_SIZE_AT = 16  # width and height, 4 bytes each, in the first chunk; 11.2.2


def jpeg_picture(letters: str) -> Picture | None:
    """Give the JPEG that a ticket has in base64; None for anything else."""
    if not _BASE64.fullmatch(letters) or not b64decode(letters[:8]).startswith(_JPEG_START):
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


def _picture(kind: str, letters: str) -> Picture:
    return Picture(kind=kind, letters=letters, mark=hashlib.sha256(letters.encode("ascii")).hexdigest()[:16])
