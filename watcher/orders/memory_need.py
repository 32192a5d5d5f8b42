"""Estimate how much memory it takes to make an order, from the files of its art; no pixel is unpacked.

Measured in the child of a worker, less what all share, for two sides. Of 60 million pixels each, PNG like a photo:
520 MB for 177 MB of art; with alpha: 570 for 214; JPEG: 75 for 13. Of 30 million each, TIFF of RGB: 450 for 174; of
CMYK: 650 for 240; WebP without loss: 610 for 98. What of it grows with the file and what with the pixels gives the
factors.
"""

from collections import Counter
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

from watcher.errors import ArtUnreadable
from watcher.inbox.formats import ART, TIFF, WEBP, named_format
from watcher.inbox.picture_size import pixels_in
from watcher.inbox.zip_members import first_bytes
from watcher.orders.model import OF_ALL, ArtSource, Order

ANY_ORDER_BYTES = 60_000_000  # whatever its art is
_STORED_TIMES = 2  # as they came, and in the file of the sheet
_PIXEL_BYTES = 2  # what is unpacked at one time of PNG and JPEG, over all pixels of the order
_PIXEL_BYTES_OF = {TIFF: 4, WEBP: 9}  # packed again: WebP to many times what was stored
_UNKNOWN_PIXELS = 15_000_000  # of a PDF page, or of what cannot be told
_HEAD_BYTES = 1 << 18  # of a file in a ZIP: as far as its size is looked for


def memory_need(order: Order, folder: Path, archive: Path) -> int:
    """Give the memory that an order will take, bytes.

    Args:
        order: as it was taken.
        folder: where its files lie.
        archive: where the art of a repeat lies.
    """
    if order.repeat is not None:
        there = sorted((archive / order.repeat.order).glob("*"))
        return ANY_ORDER_BYTES + sum(_bytes_for(path.name, *_of_file(path)) for path in there if _is_art(path))
    by_design: Counter[int] = Counter()
    stored = 0
    for source, size, pixels in _told(order, folder):
        stored += _STORED_TIMES * size
        by_design[source.design] += _bytes_for(source.member_name or source.file, 0, pixels)
    shared = by_design.pop(OF_ALL, 0)
    return ANY_ORDER_BYTES + stored + shared + max(by_design.values(), default=0)  # one design is open at a time


def _told(order: Order, folder: Path) -> Iterator[tuple[ArtSource, int, int]]:
    """Each side with the bytes that are stored of it, those of a file of several pages once, and its pixels."""
    seen: set[tuple[str, str | None]] = set()
    for source in order.wanted_art:
        path, key = folder / source.file, (source.file, source.member)
        size, pixels = _of_file(path) if source.member is None else _of_member(path, source.member)
        yield source, 0 if key in seen else size, pixels
        seen.add(key)


def _bytes_for(name: str, stored: int, pixels: int) -> int:
    found = named_format(name)
    rate = _PIXEL_BYTES_OF.get(found, _PIXEL_BYTES) if found else _PIXEL_BYTES
    return _STORED_TIMES * stored + rate * pixels


def _of_file(path: Path) -> tuple[int, int]:
    try:
        with path.open("rb") as file:
            return path.stat().st_size, pixels_in(file) or _UNKNOWN_PIXELS
    except OSError:  # gone meanwhile: what comes of that is seen when it is made
        return 0, _UNKNOWN_PIXELS


def _of_member(path: Path, member: str) -> tuple[int, int]:
    try:
        size, head = first_bytes(path, member, _HEAD_BYTES)
    except (ArtUnreadable, OSError):
        return 0, _UNKNOWN_PIXELS
    return size, pixels_in(BytesIO(head)) or _UNKNOWN_PIXELS


def _is_art(path: Path) -> bool:
    return named_format(path.name) in ART
