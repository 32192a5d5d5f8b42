"""The parts of a PNG file, so that its compressed rows can go into a PDF as they are.

Source: PNG (ISO/IEC 15948): chunk layout 5.3, IHDR 11.2.2, PLTE 11.2.3, CRC 5.5.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import cast

import numpy as np
from isal import isal_zlib

from watcher.art.model import ImageStream
from watcher.art.profile import fitting_profile

_GREY, _RGB, _PALETTE = 0, 2, 3  # colour types without an alpha channel, 11.2.2
_NotPacked = cast(type[Exception], isal_zlib.error)  # its stub calls it an instance
_KEPT = frozenset({b"IHDR", b"PLTE", b"tRNS", b"iCCP", b"eXIf", b"acTL"})
_LAST_FILTER = 4  # 9.2: none, sub, up, average, Paeth
_LARGEST_PROFILE = 4_000_000  # bytes unpacked; press profiles reach about 3 MB (our own choice)
_COLOURS = {_GREY: 1, _RGB: 3, _PALETTE: 1}


@dataclass(frozen=True, kw_only=True)
class PngParts:
    """A PNG taken apart.

    Attributes:
        width_px, height_px: of the stored pixels.
        bits: per sample.
        colour_type: 0 grey, 2 RGB, 3 palette, 4 grey with alpha, 6 RGB with alpha.
        interlaced: rows stored in seven passes, a form PDF does not know.
        palette: RGB triples or None.
        rows: the joined IDAT data: one zlib stream of filtered rows.
        clear: the tRNS chunk, what is see-through; empty without one.
        icc: the embedded profile, or None.
        exif: the eXIf chunk; empty without one.
        frames: how many pictures the file shows one after the other (acTL); 1 for a still.
    """

    width_px: int
    height_px: int
    bits: int
    colour_type: int
    interlaced: bool
    palette: bytes | None
    rows: bytes
    clear: bytes
    icc: bytes | None
    exif: bytes
    frames: int

    @property
    def stride(self) -> int:
        """Bytes of a row, its filter byte not counted."""
        samples = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}.get(self.colour_type, 0)
        return (self.width_px * self.bits * samples + 7) // 8


def take_apart(data: bytes) -> PngParts:
    """The parts of a PNG whose chunks are all there, each with its right checksum.

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
        interlaced=head[12] != 0,
        palette=once.get(b"PLTE"),
        rows=b"".join(rows),
        clear=once.get(b"tRNS", b""),
        icc=_profile(once.get(b"iCCP", b"")),
        exif=once.get(b"eXIf", b""),
        frames=int.from_bytes(once[b"acTL"][:4]) if b"acTL" in once else 1,
    )


def passes_through(parts: PngParts) -> bool:
    """Whether PDF can show these rows as they are: no alpha channel, not interlaced, a palette of whole triples."""
    if parts.interlaced or parts.colour_type not in _COLOURS:
        return False
    return parts.colour_type != _PALETTE or (bool(parts.palette) and len(parts.palette or b"") % 3 == 0)


def is_whole(parts: PngParts) -> bool:
    """Whether every row is there and can be undone: unpacked once, counted, its checksum and filters looked at.

    For parts that pass through. Stricter than Pillow, which takes a picture without its last rows, and measured at less
    than half of its time.
    """
    wanted = parts.height_px * (1 + parts.stride)
    try:
        rows = isal_zlib.decompressobj().decompress(parts.rows, wanted + 1)
    except _NotPacked:
        return False
    if len(rows) < wanted:
        return False
    filters = np.frombuffer(rows, np.uint8, count=wanted)[:: 1 + parts.stride]
    return int(filters.max()) <= _LAST_FILTER


def as_stream(parts: PngParts) -> ImageStream:
    """The file's own compressed rows as an image stream; for parts that pass through."""
    return ImageStream(
        data=parts.rows,
        filter="/FlateDecode",
        predictor=15,
        width_px=parts.width_px,
        height_px=parts.height_px,
        bits=parts.bits,
        colours=_COLOURS[parts.colour_type],
        palette=_trimmed(parts) if parts.colour_type == _PALETTE else None,
        icc=fitting_profile(parts.icc, 1 if parts.colour_type == _GREY else 3),
    )


def _trimmed(parts: PngParts) -> bytes:
    """The palette without entries that the bit depth cannot reach (PDF allows 2**bits at most)."""
    return (parts.palette or b"")[: 3 * 2**parts.bits]


def _profile(chunk: bytes) -> bytes | None:
    """The profile in an iCCP chunk (11.3.3.3): a name, a zero, the method, then zlib data. None when it is broken."""
    packed = chunk.partition(b"\0")[2][1:]
    try:
        icc = isal_zlib.decompressobj().decompress(packed, _LARGEST_PROFILE)
    except _NotPacked:
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
