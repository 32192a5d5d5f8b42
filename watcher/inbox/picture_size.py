"""How many pixels a picture has, from the first bytes of its file; nothing is unpacked.

Sources: PNG (ISO/IEC 15948) 11.2.2; JPEG (ITU-T T.81) B.2.2; WebP (RFC 9649) 2.5 to 2.7, RFC 6386 9.1.
"""

from collections.abc import Callable
from typing import BinaryIO

from watcher.inbox.formats import JPEG, PNG, TIFF, WEBP, FileFormat, format_of
from watcher.inbox.tiff_pages import tiff_pages

_MOST_SEGMENTS = 2000
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}  # start of frame; the three others are tables


def pixels_in(file: BinaryIO) -> int | None:
    """Return the number of pixels of the largest picture in a file; None where it is no picture or cannot be told."""
    file.seek(0)
    head = file.read(32)
    measure = MEASURES.get(format_of(head))
    try:
        return None if measure is None else measure(file, head)
    except (ValueError, IndexError, OSError):  # cut short or damaged: a worker will say so
        return None


def _of_png(_file: BinaryIO, head: bytes) -> int:
    return int.from_bytes(head[16:20], "big") * int.from_bytes(head[20:24], "big")


def _of_jpeg(file: BinaryIO, _head: bytes) -> int | None:
    at = 2
    for _ in range(_MOST_SEGMENTS):
        file.seek(at)
        segment = file.read(9)
        if len(segment) < 9 or segment[0] != 0xFF:
            return None
        if segment[1] in _FRAMES:
            return int.from_bytes(segment[5:7], "big") * int.from_bytes(segment[7:9], "big")
        at += 1 if segment[1] == 0xFF else 2 + int.from_bytes(segment[2:4], "big")
    return None


def _of_webp(_file: BinaryIO, head: bytes) -> int | None:
    kind = head[12:16]
    if kind == b"VP8X":  # 24 bits each, less one
        return (int.from_bytes(head[24:27], "little") + 1) * (int.from_bytes(head[27:30], "little") + 1)
    if kind == b"VP8L":  # 14 bits each, less one, behind a signature
        packed = int.from_bytes(head[21:25], "little")
        return ((packed & 0x3FFF) + 1) * ((packed >> 14 & 0x3FFF) + 1)
    if kind == b"VP8 ":  # 14 bits each, behind a frame tag and a start code
        return (int.from_bytes(head[26:28], "little") & 0x3FFF) * (int.from_bytes(head[28:30], "little") & 0x3FFF)
    return None


def _of_tiff(file: BinaryIO, _head: bytes) -> int:
    return max(page.width_px * page.height_px for page in tiff_pages(file))


MEASURES: dict[FileFormat | None, Callable[[BinaryIO, bytes], int | None]] = {
    PNG: _of_png,
    JPEG: _of_jpeg,
    WEBP: _of_webp,
    TIFF: _of_tiff,
}
