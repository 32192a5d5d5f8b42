"""Tell whether a PNG, JPEG or WebP file is complete. Each function takes the open file and its size in bytes."""

import re
from typing import BinaryIO

_MOST_STEPS = 200_000  # more pieces than this are no export: a worker process judges the file
_BLOCK = 1 << 18

# PNG (ISO/IEC 15948, 5.3, 11.2.5): length, type, data, CRC; IEND is empty, so its CRC is always the same.
_PNG_SIGNATURE = 8
_PNG_END = b"\0\0\0\0IEND\xae\x42\x60\x82"

# JPEG (ITU-T T.81, B.1.1): markers that stand alone, without a length.
_TEM, _EOI, _SOS = 0x01, 0xD9, 0xDA
_STANDALONE = frozenset({_TEM, 0xD8, *range(0xD0, 0xD8)})
_MARKER_IN_SCAN = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]")  # not a stuffed FF00, a restart mark or filling

# WebP (RFC 9649, 2.3, 2.4): RIFF, size of what follows, WEBP, then chunks padded to even length.
_RIFF_HEADER = 12
_LOSSY, _LOSSLESS = b"VP8 ", b"VP8L"
# One flat colour of 1500 x 2100 px makes up to 0.09 zero bits a pixel (our measurement, every method and quality of
# the encoder in use); a longer run of zeros at the end is not art but space laid out and not filled.
_LONGEST_FLAT_BITS = 0.15
_SHORTEST_RUN_BYTES = 512


def png_ends(file: BinaryIO, size: int) -> bool:
    """Whether the chunks chain up to a sound IEND. What follows it is legal and not looked at."""
    at = _PNG_SIGNATURE
    for _ in range(_MOST_STEPS):
        chunk = _read(file, at, len(_PNG_END))
        if chunk == _PNG_END:
            return True
        if len(chunk) < len(_PNG_END) or not chunk[4:8].isalpha() or chunk[4:8] == b"IEND":
            return False
        at += 12 + int.from_bytes(chunk[:4], "big")
        if at > size:
            return False
    return True


def jpeg_ends(file: BinaryIO, size: int) -> bool:
    """Whether the end-of-image mark stands outside every segment.

    A plain search for it would find the one of the small picture in the EXIF data. What follows it is legal.
    """
    at = 2
    for _ in range(_MOST_STEPS):
        found = _next_marker(file, at)
        if found is None:
            return False
        marker, at = found
        if marker == _EOI:
            return True
        if marker not in _STANDALONE:
            length = int.from_bytes(_read(file, at, 2), "big")
            if length < 2 or at + length > size:
                return False
            at += length
    return True


def _next_marker(file: BinaryIO, start: int) -> tuple[int, int] | None:
    """The next marker at or after `start`, skipping entropy-coded data, and the place behind it."""
    file.seek(start)
    block = b""
    while fresh := file.read(_BLOCK if block else 4096):
        block = block[-1:] + fresh
        base = file.tell() - len(block)
        found = _MARKER_IN_SCAN.search(block)
        if found:
            return block[found.end() - 1], base + found.end()
    return None


def webp_ends(file: BinaryIO, size: int) -> bool:
    """Whether everything the RIFF header announces is there, as chunks, and the pixels do not run out in zeros."""
    end = 8 + int.from_bytes(_read(file, 4, 4), "little")
    at = _RIFF_HEADER
    if end > size or end < at + 8:
        return False
    for _ in range(_MOST_STEPS):
        if at >= end:
            return True
        header = _read(file, at, 8)
        kind, length = header[:4], int.from_bytes(header[4:], "little")
        if not kind.strip().isalnum() or at + 8 + length > end:
            return False
        if kind in (_LOSSY, _LOSSLESS) and _runs_out_in_zeros(file, kind, at + 8, length):
            return False
        at += 8 + length + length % 2
    return True


def _runs_out_in_zeros(file: BinaryIO, kind: bytes, start: int, length: int) -> bool:
    """Whether the pixels end in more zeros than one flat colour all over makes."""
    head = _read(file, start, 10)
    if kind == _LOSSY:  # RFC 6386, 9.1: 14 bits each, behind a frame tag and a start code
        width, height = (int.from_bytes(head[at : at + 2], "little") & 0x3FFF for at in (6, 8))
    else:  # RFC 9649, 3.4: 14 bits each, less one, behind a signature
        packed = int.from_bytes(head[1:5], "little")
        width, height = (packed & 0x3FFF) + 1, (packed >> 14 & 0x3FFF) + 1
    run = max(_SHORTEST_RUN_BYTES, int(width * height * _LONGEST_FLAT_BITS / 8))
    return run <= length and not any(_read(file, start + length - run, run))


def _read(file: BinaryIO, at: int, length: int) -> bytes:
    file.seek(at)
    return file.read(length)
