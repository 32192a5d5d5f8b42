"""Read the size of a WebP picture from its first chunk. Source: RFC 9649 2.4 to 2.7, RFC 6386 9.1.

A PDF cannot hold WebP, so its pixels are packed without loss: of a lossy photo 16 to 24 times its size. Tried for less:
the best of PNG's five row filters, for each band of 64 rows or each row, saves 0 to 12 % and takes three times as long;
zlib's level 9 on top saves 19 to 32 % and takes far longer. WebP's own lossless coder still needs 9 to 11 times.
"""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class WebpHead:
    """Size and depth of a WebP picture.

    Attributes:
        width_px, height_px: of the picture.
        bits: per colour; the format has no others.
    """

    width_px: int
    height_px: int
    bits: int = 8


def read_head(data: bytes) -> WebpHead:
    """Read the head of a WebP picture; ValueError when its first chunk is none that holds a size."""
    chunk, body = data[12:16], data[20:30]
    if len(body) < 10:
        raise ValueError("cut short")
    if chunk == b"VP8X":
        return WebpHead(width_px=1 + int.from_bytes(body[4:7], "little"), height_px=1 + _last_three(body))
    if chunk == b"VP8 ":
        return WebpHead(width_px=_fourteen_bits(body[6:8]), height_px=_fourteen_bits(body[8:10]))
    if chunk == b"VP8L":
        packed = int.from_bytes(body[1:5], "little")
        return WebpHead(width_px=(packed & 0x3FFF) + 1, height_px=(packed >> 14 & 0x3FFF) + 1)
    raise ValueError("no size")


def _last_three(body: bytes) -> int:
    return int.from_bytes(body[7:10], "little")


def _fourteen_bits(two: bytes) -> int:
    return int.from_bytes(two, "little") & 0x3FFF
