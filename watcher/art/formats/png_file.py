"""Write a PNG file around rows that are packed already. Source: PNG (ISO/IEC 15948) 5.2, 5.3, 11.2.2."""

from collections.abc import Iterable

from isal import isal_zlib

from watcher.art.model import ImageStream

SIGNATURE = b"\x89PNG\r\n\x1a\n"
PALETTE = 3  # the colour type of indexed pixels; PNG 11.2.2
_COLOUR_TYPE = {1: 0, 3: 2, 4: 6}  # four inks go through Pillow as if they were RGB and alpha


def png_of(stream: ImageStream) -> bytes:
    """A PNG of an image stream with PNG's own predictor (15, ISO 32000-1 7.4.4.4): its rows go in as they are.

    Four inks are written as RGB and alpha. No date, no text: the same stream gives the same bytes.
    """
    colour_type = PALETTE if stream.palette else _COLOUR_TYPE[stream.colours]
    head = png_head(stream.width_px, stream.height_px, stream.bits, colour_type)
    return chunks_to_png([(b"IHDR", head), (b"PLTE", stream.palette or b""), (b"IDAT", stream.data)])


def png_head(width_px: int, height_px: int, bits: int, colour_type: int, interlace: int = 0) -> bytes:
    """The body of an IHDR chunk."""
    return b"".join((width_px.to_bytes(4), height_px.to_bytes(4), bytes((bits, colour_type, 0, 0, interlace))))


def chunks_to_png(chunks: Iterable[tuple[bytes, bytes]]) -> bytes:
    """A PNG of these chunks, kind and body; empty ones are left out, IEND is added."""
    return SIGNATURE + b"".join(_chunk(kind, body) for kind, body in chunks if body) + _chunk(b"IEND", b"")


def _chunk(kind: bytes, body: bytes) -> bytes:
    return b"".join((len(body).to_bytes(4), kind, body, isal_zlib.crc32(body, isal_zlib.crc32(kind)).to_bytes(4)))
