"""What the first bytes of a picture say: its format and its size, before anything is decoded.

Sources: PNG (ISO/IEC 15948) 5.2 and 11.2.2, JPEG (ITU-T T.81) B.1, TIFF 6.0 section 2, WebP (RFC 9649 2.4-2.7).
"""

from enum import StrEnum

DAMAGED = "is damaged or not complete"

# A4 at 1200 ppi is 139 MP; a 13 x 19 in sheet at 600 ppi is 89 MP. Cards are smaller than either. Our own choice.
MOST_PIXELS = 100_000_000
LONGEST_SIDE_PX = 30_000


class RasterKind(StrEnum):
    """The formats of pictures that are taken, by the names under which Pillow knows them."""

    PNG = "PNG"
    JPEG = "JPEG"
    TIFF = "TIFF"
    WEBP = "WEBP"


def raster_kind(data: bytes) -> RasterKind | None:
    """The format that the bytes are in, whatever the file is called; None when it is none that is taken."""
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return RasterKind.PNG
    if data[:3] == b"\xff\xd8\xff":
        return RasterKind.JPEG
    if data[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):  # the latter two: the 64-bit variant
        return RasterKind.TIFF
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return RasterKind.WEBP
    return None


def foreign_kind(data: bytes) -> str | None:
    """What a file that is not taken really is, in words; None when it cannot be told."""
    if data[4:12] in (b"jP  \r\n\x87\n", b"JXL \r\n\x87\n"):
        return "a JPEG 2000 picture" if data[4:6] == b"jP" else "a JPEG XL picture"
    if data[4:8] == b"ftyp":
        return {b"heic": "a HEIC picture", b"avif": "an AVIF picture"}.get(data[8:12], "a film or phone picture")
    signs = {
        b"%PDF": "a PDF",
        b"GIF8": "a GIF picture",
        b"BM": "a BMP picture",
        b"\xff\x4f\xff\x51": "a JPEG 2000 picture",
        b"\xff\x0a": "a JPEG XL picture",
        b"8BPS": "a working file of an image editor (PSD)",
        b"PK\x03\x04": "a ZIP or office document",
        b"%!PS": "a PostScript file",
        b"<svg": "an SVG drawing",
        b"<?xml": "an SVG drawing or other XML text",
        b"<!DOC": "a web page",
        b"<html": "a web page",
    }
    return next((words for sign, words in signs.items() if data.startswith(sign)), None)


def webp_size(data: bytes) -> tuple[int, int]:
    """Width and height of a WebP picture, px; ValueError when its first chunk is none that holds a size."""
    chunk, body = data[12:16], data[20:30]
    if len(body) < 10:
        raise ValueError("cut short")
    if chunk == b"VP8X":
        return 1 + int.from_bytes(body[4:7], "little"), 1 + int.from_bytes(body[7:10], "little")
    if chunk == b"VP8 ":
        return int.from_bytes(body[6:8], "little") & 0x3FFF, int.from_bytes(body[8:10], "little") & 0x3FFF
    if chunk == b"VP8L":
        packed = int.from_bytes(body[1:5], "little")
        return 1 + (packed & 0x3FFF), 1 + (packed >> 14 & 0x3FFF)
    raise ValueError("no size")


def size_fault(width_px: int, height_px: int) -> str | None:
    """Why a picture of this size is not opened; None when it is."""
    if width_px < 1 or height_px < 1:
        return DAMAGED
    if max(width_px, height_px) > LONGEST_SIDE_PX or width_px * height_px > MOST_PIXELS:
        most = f"{LONGEST_SIDE_PX:,} px a side and {MOST_PIXELS // 1_000_000} million pixels are the most"
        return f"is {width_px:,} x {height_px:,} px; {most}"
    return None
