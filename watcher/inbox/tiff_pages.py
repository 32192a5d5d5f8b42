"""List the pages of a TIFF from its directories alone: which of its pictures are pages, and of what kind each is.

Source: TIFF Revision 6.0, sections 2 (structure) and 8 (fields by tag); Supplement 1 (tag 330, pictures within
pictures, which are no pages); the 64-bit variant ("BigTIFF") widens counts and places to eight bytes.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

MOST_PAGES = 500  # as for PDF; a card has two
_MOST_ENTRIES = 4096
_FARTHEST = 1 << 48  # no file is as long; farther places make the system stumble
_SUBFILE, _OLD_SUBFILE, _WIDTH, _HEIGHT, _BITS, _PACKING, _COLOURS = 254, 255, 256, 257, 258, 259, 262
_ORIENTATION = 274
_SAMPLES, _FORMAT = 277, 339
_NUMBERS = {1: "B", 3: "H", 4: "I", 13: "I", 16: "Q", 18: "Q"}
_REDUCED, _MASK = 1, 4  # bits of NewSubfileType: a small copy of another page, a mask for one
_OLD_REDUCED = 2


@dataclass(frozen=True, kw_only=True)
class TiffPage:
    """One picture of a TIFF.

    Attributes:
        index: which directory it is, from 0.
        width_px, height_px: of the stored pixels.
        bits: per sample, the most of any.
        samples: colours and more per pixel.
        sample_format: 1 whole numbers, 2 numbers with a sign, 3 floating point.
        packing: number of the compression.
        colours: number of the photometric interpretation.
        is_page: False for a small copy or a mask of another picture.
        orientation: which of its corners the stored pixels begin at, 1 to 8.
    """

    index: int
    width_px: int
    height_px: int
    bits: int
    samples: int
    sample_format: int
    packing: int
    colours: int
    is_page: bool
    orientation: int


def tiff_pages(file: BinaryIO) -> tuple[TiffPage, ...]:
    """List the pictures of a TIFF in their order, small copies and masks included and told by `is_page`.

    Stops at `MOST_PAGES` + 1, at a directory that it has seen, and at one that is not all there.

    Raises:
        ValueError: it is no TIFF, or its first directory is not all there.
    """
    pages = []
    for index, tags in enumerate(_directories(file)):
        pages.append(_page(index, tags))
        if sum(page.is_page for page in pages) > MOST_PAGES or len(pages) > 2 * MOST_PAGES:
            break
    if not pages:
        raise ValueError("no directory")
    return tuple(pages)


def _page(index: int, tags: dict[int, tuple[int, ...]]) -> TiffPage:
    def first(tag: int, otherwise: int) -> int:
        return next(iter(tags.get(tag, ())), otherwise)

    derived = first(_SUBFILE, 0) & (_REDUCED | _MASK) or first(_OLD_SUBFILE, 1) == _OLD_REDUCED
    return TiffPage(
        index=index,
        width_px=first(_WIDTH, 0),
        height_px=first(_HEIGHT, 0),
        bits=max(tags.get(_BITS, ()), default=1),
        samples=first(_SAMPLES, 1),
        sample_format=first(_FORMAT, 1),
        packing=first(_PACKING, 1),
        colours=first(_COLOURS, 0),
        is_page=index == 0 or not derived,
        orientation=first(_ORIENTATION, 1),
    )


def _directories(file: BinaryIO) -> Iterator[dict[int, tuple[int, ...]]]:
    """The whole-number values of each directory by tag."""
    head = _read(file, 0, 16)
    order = {b"II": "<", b"MM": ">"}.get(head[:2])
    if order is None or len(head) < 8:
        raise ValueError("no TIFF")
    big = struct.unpack(f"{order}H", head[2:4])[0] == 43
    wide, entry = ("Q", 20) if big else ("I", 12)
    at: int = struct.unpack_from(f"{order}{wide}", head, 8 if big else 4)[0]
    seen = set[int]()
    while at and at not in seen:
        seen.add(at)
        count_bytes = 8 if big else 2
        raw = _read(file, at, count_bytes)
        count = int.from_bytes(raw, "little" if order == "<" else "big")
        table = _read(file, at + count_bytes, count * entry + struct.calcsize(wide)) if count <= _MOST_ENTRIES else b""
        if len(raw) < count_bytes or len(table) < count * entry + struct.calcsize(wide):
            return
        yield dict(_values(file, table[start : start + entry], order, wide) for start in range(0, count * entry, entry))
        at = struct.unpack_from(f"{order}{wide}", table, count * entry)[0]


def _values(file: BinaryIO, entry: bytes, order: str, wide: str) -> tuple[int, tuple[int, ...]]:
    """A tag and its values; none where they are no whole numbers, or more than any tag read here has."""
    tag, kind = struct.unpack_from(f"{order}HH", entry)
    (count,) = struct.unpack_from(f"{order}{wide}", entry, 4)
    code, value = _NUMBERS.get(kind), entry[4 + struct.calcsize(wide) :]
    if code is None or count > 64:
        return tag, ()
    shape = f"{order}{count}{code}"
    if struct.calcsize(shape) > len(value):
        value = _read(file, struct.unpack(f"{order}{wide}", value)[0], struct.calcsize(shape))
    return tag, struct.unpack_from(shape, value) if len(value) >= struct.calcsize(shape) else ()


def _read(file: BinaryIO, at: int, length: int) -> bytes:
    if at >= _FARTHEST:
        return b""
    file.seek(at)
    return file.read(length)
