"""What a picture may be: how large at the most, and what a file really is that is not taken."""

DAMAGED = "is damaged or not complete"

# A4 at 1200 ppi is 139 MP; a 13 x 19 in sheet at 600 ppi is 89 MP. Cards are smaller than either. Our own choice.
MOST_PIXELS = 100_000_000
LONGEST_SIDE_PX = 30_000


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


def size_fault(width_px: int, height_px: int) -> str | None:
    """Why a picture of this size is not opened; None when it is."""
    if width_px < 1 or height_px < 1:
        return DAMAGED
    if max(width_px, height_px) > LONGEST_SIDE_PX or width_px * height_px > MOST_PIXELS:
        most = f"{LONGEST_SIDE_PX:,} px a side and {MOST_PIXELS // 1_000_000} million pixels are the most"
        return f"is {width_px:,} x {height_px:,} px; {most}"
    return None
