"""Take a PNG file apart, so that its compressed rows can go into a PDF as they are.

Source: PNG (ISO/IEC 15948): chunk layout 5.3, IHDR 11.2.2, PLTE 11.2.3, CRC 5.5.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import cast

import numpy as np
from isal import isal_zlib
from PIL import Image

from watcher.art.formats.headers import DAMAGED
from watcher.art.formats.png_file import chunks_to_png, png_head
from watcher.art.model import ImageStream
from watcher.units import MM_PER_INCH

_GREY, _RGB, _PALETTE = 0, 2, 3  # colour types without an alpha channel, 11.2.2
NotPacked = cast(type[Exception], isal_zlib.error)  # its stub calls it an instance
_KEPT = frozenset({b"IHDR", b"PLTE", b"tRNS", b"iCCP", b"eXIf", b"acTL", b"pHYs"})
_LAST_FILTER = 4  # 9.2: none, sub, up, average, Paeth
_LONGEST_BLOCK = 65_535
# How Pillow calls the stored samples of each colour type and depth, and by what it multiplies grey of less than 8 bits.
_MODES = {(_GREY, 1): ("1", "1"), (_GREY, 2): ("L", "L;2"), (_GREY, 4): ("L", "L;4"), (_GREY, 8): ("L", "L")}
_MODES |= {(_GREY, 16): ("I;16", "I;16B"), (_RGB, 8): ("RGB", "RGB"), (_RGB, 16): ("RGB", "RGB;16B")}
_MODES |= {
    (_PALETTE, 1): ("P", "P;1"),
    (_PALETTE, 2): ("P", "P;2"),
    (_PALETTE, 4): ("P", "P;4"),
    (_PALETTE, 8): ("P", "P"),
}
_STEP = {1: 255, 2: 85, 4: 17, 8: 1, 16: 1}
_LARGEST_PROFILE = 4_000_000  # bytes unpacked; press profiles reach about 3 MB (our own choice)
_COLOURS = {_GREY: 1, _RGB: 3, _PALETTE: 1}
_DEPTHS = {_GREY: (1, 2, 4, 8, 16), _RGB: (8, 16), _PALETTE: (1, 2, 4, 8)}  # table 11.1


@dataclass(frozen=True, kw_only=True)
class PngParts:
    """A PNG taken apart.

    Attributes:
        width_px, height_px: of the stored pixels.
        bits: per sample.
        colour_type: 0 grey, 2 RGB, 3 palette, 4 grey with alpha, 6 RGB with alpha.
        interlace: the method byte; not 0: rows stored in seven passes, a form PDF does not know.
        palette: RGB triples or None.
        packed: the IDAT data in its pieces, which are parts of the file: together one zlib stream of filtered rows.
        clear: the tRNS chunk, what is see-through; empty without one.
        icc: the embedded profile, or None.
        exif: the eXIf chunk; empty without one.
        density: pixels per inch across and upwards (pHYs); None without, or without a unit.
        frames: how many pictures the file shows one after the other (acTL); 1 for a still.
    """

    width_px: int
    height_px: int
    bits: int
    colour_type: int
    interlace: int
    palette: bytes | None
    packed: tuple[memoryview, ...]
    clear: bytes
    icc: bytes | None
    exif: bytes
    density: tuple[Fraction, Fraction] | None
    frames: int

    @cached_property
    def rows(self) -> bytes:
        """The pieces as one; joined when it is asked for, since of a large picture that is a second one in memory."""
        return b"".join(self.packed)

    @property
    def interlaced(self) -> bool:
        """Whether the rows are stored in passes."""
        return self.interlace != 0

    @property
    def stride(self) -> int:
        """Bytes of a row, its filter byte not counted."""
        samples = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}.get(self.colour_type, 0)
        return (self.width_px * self.bits * samples + 7) // 8


def take_apart(data: bytes) -> PngParts:
    """Take a PNG apart; all of its chunks must be there, each with its right checksum.

    Raises:
        ValueError: a chunk is cut off, its CRC is wrong, or IHDR, IDAT or IEND is missing.
    """
    once: dict[bytes, bytes] = {}
    rows = []
    for kind, body in _chunks(data):
        if kind == b"IDAT":
            rows.append(body)
        elif kind in _KEPT:
            once.setdefault(kind, bytes(body))
    head = once.get(b"IHDR", b"")
    if len(head) != 13 or not rows:
        raise ValueError("IHDR or IDAT is missing")
    return PngParts(
        width_px=int.from_bytes(head[0:4]),
        height_px=int.from_bytes(head[4:8]),
        bits=head[8],
        colour_type=head[9],
        interlace=head[12],
        palette=once.get(b"PLTE"),
        packed=tuple(rows),
        clear=once.get(b"tRNS", b""),
        icc=_profile(once.get(b"iCCP", b"")),
        exif=once.get(b"eXIf", b""),
        density=_density(once.get(b"pHYs", b"")),
        frames=int.from_bytes(once[b"acTL"][:4]) if b"acTL" in once else 1,
    )


def passes_through(parts: PngParts) -> bool:
    """Whether PDF can show these rows as they are: no alpha channel, not interlaced, a palette of whole triples."""
    if parts.interlaced or parts.bits not in _DEPTHS.get(parts.colour_type, ()):
        return False
    return parts.colour_type != _PALETTE or (bool(parts.palette) and len(parts.palette or b"") % 3 == 0)


def unpacked(parts: PngParts) -> bytes:
    """The filtered rows, unpacked once, when each is there and can be undone and nothing follows the last one.

    They are counted, their checksum and filters looked at, never more unpacked than the header announces. For parts
    that pass through. Stricter than Pillow, which takes a picture without its last rows, and measured at less than half
    of its time. What follows the last row would reach the printer inside our sheet: a few kilobytes can hold gigabytes
    of it.

    Raises:
        ValueError: why the rows cannot be used, to follow the file's name.
    """
    wanted = parts.height_px * (1 + parts.stride)
    try:
        rows = bytes(isal_zlib.decompressobj().decompress(parts.rows, wanted + 1))
    except NotPacked as cause:
        raise ValueError(DAMAGED) from cause
    if len(rows) > wanted:
        raise ValueError(f"unpacks to more than the {parts.width_px:,} x {parts.height_px:,} px that it announces")
    if len(rows) < wanted or int(np.frombuffer(rows, np.uint8)[:: 1 + parts.stride].max()) > _LAST_FILTER:
        raise ValueError(DAMAGED)
    return rows


def picture_of(parts: PngParts, rows: bytes) -> Image.Image:
    """The picture that unpacked rows hold; for parts that pass through.

    Pillow undoes the row filters. It gets the rows as a stream without compression, which takes it a third of the time
    that it needs for the file (measured, photo-like, 1500 x 2100).
    """
    size = parts.width_px, parts.height_px
    mode, stored_as = _MODES[parts.colour_type, parts.bits]
    picture = Image.frombytes(mode, size, b"".join(not_compressed(rows)), "zip", stored_as, 0)
    if mode == "P":
        picture.putpalette(_trimmed(parts))
    key = [int.from_bytes(parts.clear[at : at + 2]) for at in range(0, len(parts.clear), 2)]
    if mode == "P" and parts.clear:
        picture.info["transparency"] = parts.clear
    elif len(key) == _COLOURS[parts.colour_type]:
        picture.info["transparency"] = key[0] * _STEP[parts.bits] if len(key) == 1 else tuple(key)
    return picture


def not_compressed(rows: bytes) -> Iterator[bytes | memoryview]:
    """A zlib stream of stored blocks (RFC 1950 2.2, RFC 1951 3.2.4)."""
    view = memoryview(rows)
    yield b"\x78\x01"
    for at in range(0, len(rows), _LONGEST_BLOCK):
        block = view[at : at + _LONGEST_BLOCK]
        yield struct.pack("<BHH", at + _LONGEST_BLOCK >= len(rows), len(block), len(block) ^ 0xFFFF)
        yield block
    yield isal_zlib.adler32(rows).to_bytes(4)


def pixels_alone(parts: PngParts) -> bytes:
    """Write the picture as a PNG of nothing but its pixels, for parts that do not pass through.

    Texts and profiles, which may unpack without end, never reach the reader that unpacks the pixels.
    """
    head = png_head(parts.width_px, parts.height_px, parts.bits, parts.colour_type, parts.interlace)
    return chunks_to_png(
        [(b"IHDR", head), (b"PLTE", parts.palette or b""), (b"tRNS", parts.clear), (b"IDAT", parts.rows)]
    )


def as_stream(parts: PngParts) -> ImageStream:
    """Return the file's own compressed rows as an image stream; for parts that pass through."""
    return ImageStream(
        data=parts.rows,
        filter="/FlateDecode",
        predictor=15,
        width_px=parts.width_px,
        height_px=parts.height_px,
        bits=parts.bits,
        colours=_COLOURS[parts.colour_type],
        palette=_trimmed(parts) if parts.colour_type == _PALETTE else None,
    )


def _trimmed(parts: PngParts) -> bytes:
    """The palette without entries that the bit depth cannot reach (PDF allows 2**bits at most)."""
    return (parts.palette or b"")[: 3 * 2**parts.bits]


def _density(chunk: bytes) -> tuple[Fraction, Fraction] | None:
    """Pixels per inch in a pHYs chunk (11.3.5.3): pixels per unit across and upwards, and the unit, 1 for a metre."""
    if len(chunk) != 9 or chunk[8] != 1:
        return None
    inch = MM_PER_INCH / 1000
    return int.from_bytes(chunk[:4]) * inch, int.from_bytes(chunk[4:8]) * inch


def _profile(chunk: bytes) -> bytes | None:
    """The profile in an iCCP chunk (11.3.3.3): a name, a zero, the method, then zlib data. None when it is broken."""
    packed = chunk.partition(b"\0")[2][1:]
    try:
        icc = isal_zlib.decompressobj().decompress(packed, _LARGEST_PROFILE)
    except NotPacked:
        return None
    return icc or None


def _chunks(data: bytes) -> Iterator[tuple[bytes, memoryview]]:
    view, at = memoryview(data), 8
    while True:
        length = int.from_bytes(data[at : at + 4])
        end = at + 12 + length
        if end > len(data):
            raise ValueError("a chunk is cut off")
        kind, body = data[at + 4 : at + 8], view[at + 8 : end - 4]
        if isal_zlib.crc32(view[at + 4 : end - 4]) != int.from_bytes(data[end - 4 : end]):
            raise ValueError(f"checksum of {kind!r} is wrong")
        if kind == b"IEND":
            return
        yield kind, body
        at = end
