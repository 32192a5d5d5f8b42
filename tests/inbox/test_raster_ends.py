"""The end of a PNG, JPEG or WebP, of files written here byte by byte.

Formats: PNG ISO/IEC 15948 5.3 and 11.2.5, JPEG ITU-T T.81 B.1.1, WebP RFC 9649 2.3, 2.4 and 3.4.
"""

import io
import struct
import zlib

import pytest

from watcher.inbox.raster_ends import jpeg_ends, png_ends, webp_ends


def ends(check, data: bytes) -> bool:
    return check(io.BytesIO(data), len(data))


def chunk(kind: bytes, data: bytes = b"") -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(*chunks: bytes) -> bytes:
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)


def jpeg(*segments: bytes) -> bytes:
    return b"\xff\xd8" + b"".join(segments)


SCAN = b"\xff\xda\x00\x02"  # a start of scan without a body
EOI = b"\xff\xd9"


def webp(*chunks: tuple[bytes, bytes]) -> bytes:
    body = b"".join(kind + struct.pack("<I", len(data)) + data + bytes(len(data) % 2) for kind, data in chunks)
    return b"RIFF" + struct.pack("<I", 4 + len(body)) + b"WEBP" + body


def test_a_png_ends_with_a_sound_end_chunk_that_the_others_lead_to():
    pixels = chunk(b"IDAT", chunk(b"IEND"))  # an end chunk among the pixels is none
    assert ends(png_ends, png(pixels, chunk(b"IEND")) + b"more")
    assert not ends(png_ends, png(pixels))
    assert not ends(png_ends, png(pixels, chunk(b"IEND")[:-1] + b"\0", chunk(b"IEND")))
    assert not ends(png_ends, png(pixels, bytes(12), chunk(b"IEND")))


def test_an_end_mark_inside_a_segment_of_a_jpeg_is_not_its_end():
    small_picture = b"\xff\xe1" + struct.pack(">H", 2 + 4) + b"\xff\xd8" + EOI
    assert not ends(jpeg_ends, jpeg(small_picture, SCAN, b"pixels"))
    assert ends(jpeg_ends, jpeg(small_picture, SCAN, b"pixels", EOI))


@pytest.mark.parametrize("length", [0, 4090, 4091, 4092, 266_235, 300_000])
def test_the_end_of_a_jpeg_is_found_behind_stuffing_and_restarts_wherever_the_blocks_meet(length):
    pixels = b"\xff\x00\xff\xd3" + bytes(length)
    assert ends(jpeg_ends, jpeg(SCAN, pixels, EOI))
    assert not ends(jpeg_ends, jpeg(SCAN, pixels, EOI[:1]))


def test_a_webp_holds_all_that_its_header_announces():
    data = webp((b"VP8X", bytes(10)), (b"EXIF", b"odd"), (b"XMP ", b"even"))
    assert ends(webp_ends, data)
    assert not ends(webp_ends, data[:-1])
    assert not ends(webp_ends, data.replace(b"EXIF\3", b"EXIF\x63"))


@pytest.mark.parametrize(("zeros", "is_whole"), [(900, True), (1200, False)])
def test_a_webp_may_end_in_no_more_zeros_than_one_flat_colour_makes(zeros, is_whole):
    """At most 0.15 bits a pixel (measured, see the module): 1125 bytes of 200 x 300 pixels."""
    size = struct.pack("<I", 199 | 299 << 14)  # width and height less one, 14 bits each
    assert ends(webp_ends, webp((b"VP8L", b"\x2f" + size + b"\x55" * 9 + bytes(zeros)))) is is_whole
