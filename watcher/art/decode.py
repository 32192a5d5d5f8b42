"""One side's file opened safely: the single way from bytes to `Art`.

A picture is decoded exactly once here, which proves it whole; its own compressed data then goes on as it came wherever
a PDF can hold it, and everything else is packed again without loss.
"""

from dataclasses import replace
from fractions import Fraction

from PIL import Image

from watcher.art import jpeg, png
from watcher.art.headers import RasterKind, foreign_kind, raster_kind, size_fault, webp_size
from watcher.art.model import Art, Finding, ImageStream, Raster
from watcher.art.pdf_page import open_page
from watcher.art.pixels import load_picture, pack, several_pictures, with_white_ground
from watcher.art.profile import fitting_profile
from watcher.errors import ArtUnreadable
from watcher.layout.geometry import Size
from watcher.terms import Level, Side, Turn

PICTURE_KINDS = frozenset({"png", "jpg", "jpeg", "tif", "tiff", "webp"})
TAKEN = "PNG, JPEG, TIFF, WebP and PDF are taken"
_DAMAGED = "is damaged or not complete"

# EXIF 2.3 tag 0x0112 (274): value -> (mirror left to right first, then turn counter-clockwise) that brings it upright
_ORIENTATION_TAG = 0x0112
_UPRIGHT = {
    1: (False, Turn.NONE),
    2: (True, Turn.NONE),
    3: (False, Turn.HALF),
    4: (True, Turn.HALF),
    5: (True, Turn.LEFT),
    6: (False, Turn.RIGHT),
    7: (True, Turn.RIGHT),
    8: (False, Turn.LEFT),
}


def open_art(side: Side, shown: str, sha256: str, data: bytes, kind: str, page: int | None = None) -> Art:
    """One side's art, opened and upright.

    Args:
        side: the face it is for.
        shown: the name people know it by.
        sha256: of the file dropped in.
        data: the whole file.
        kind: its extension in lower case, no dot. Which picture format it is, the bytes decide.
        page: page of a PDF from 0; None: its only page.

    Raises:
        ArtUnreadable: not a format that is taken, damaged, too large, several pictures in one, or a PDF that cannot be
            placed. No acceptance by the person changes that.
    """
    if kind == "pdf":
        return open_page(side, shown, sha256, data, page)
    if kind not in PICTURE_KINDS:
        raise ArtUnreadable(shown, f"is not a kind of file that can be printed; {TAKEN}", "Export it as one of these")
    found = raster_kind(data)
    if found is None:
        raise _not_a_picture(shown, data)
    return _open_picture(side, shown, sha256, data, found)


def _not_a_picture(shown: str, data: bytes) -> ArtUnreadable:
    if not data.strip(b"\0"):
        return ArtUnreadable(shown, "is empty", "Export it again")
    really = foreign_kind(data)
    if really is None:
        return ArtUnreadable(shown, f"{_DAMAGED}, or not a picture at all")
    way_out = "Name it .pdf" if really == "a PDF" else "Export it as one of these"
    return ArtUnreadable(shown, f"is really {really}; {TAKEN}", way_out)


def _open_picture(side: Side, shown: str, sha256: str, data: bytes, kind: RasterKind) -> Art:
    parts = _look_at_head(shown, data, kind)
    if isinstance(parts, png.PngParts) and png.passes_through(parts) and not parts.clear:
        if not png.is_whole(parts):
            raise ArtUnreadable(shown, _DAMAGED)
        return _as_art(side, shown, sha256, png.as_stream(parts), (), _orientation(parts.exif))
    picture = load_picture(shown, data, kind)
    stream, findings = _stream_of(shown, side, data, parts, picture)
    # Pillow has turned a TIFF already (library-notes 3).
    orientation = 1 if kind is RasterKind.TIFF else _orientation(picture.info.get("exif", b""))
    return _as_art(side, shown, sha256, stream, findings, orientation)


def _as_art(
    side: Side, shown: str, sha256: str, stream: ImageStream, findings: tuple[Finding, ...], orientation: int
) -> Art:
    mirrored, turn = _UPRIGHT[orientation]
    extent = Size(Fraction(stream.width_px), Fraction(stream.height_px)).turned(turn)
    return Art(
        side=side,
        file=shown,
        sha256=sha256,
        extent=extent,
        width_px=int(extent.width),
        height_px=int(extent.height),
        content=Raster(stream=stream, turn=turn, mirrored=mirrored),
        findings=findings,
    )


def _look_at_head(shown: str, data: bytes, kind: RasterKind) -> png.PngParts | jpeg.JpegHead | None:
    """What can be known without decoding; refuses what is cut short or too large before any decoder sees it."""
    parts: png.PngParts | jpeg.JpegHead | None = None
    try:
        if kind is RasterKind.PNG:
            parts = png.take_apart(data)
        elif kind is RasterKind.JPEG:
            parts = jpeg.read_head(data)
        size = (parts.width_px, parts.height_px) if parts else webp_size(data) if kind is RasterKind.WEBP else (1, 1)
    except (ValueError, IndexError) as cause:
        raise ArtUnreadable(shown, _DAMAGED) from cause
    if isinstance(parts, png.PngParts) and parts.frames > 1:
        raise several_pictures(shown, f"{parts.frames} moving pictures")
    if fault := size_fault(*size):
        raise ArtUnreadable(shown, fault, "Export it smaller" if "most" in fault else "Export it again")
    return parts


def _orientation(exif: bytes) -> int:
    """The EXIF orientation, 1 to 8; 1 where there is none or none that can be."""
    if not exif:
        return 1
    tags = Image.Exif()
    try:
        tags.load(exif)
        value = tags.get(_ORIENTATION_TAG, 1)
    except Exception:  # a broken EXIF block raises anything; the picture itself is whole
        return 1
    return value if value in _UPRIGHT else 1


def _stream_of(
    shown: str, side: Side, data: bytes, parts: png.PngParts | jpeg.JpegHead | None, picture: Image.Image
) -> tuple[ImageStream, tuple[Finding, ...]]:
    icc = picture.info.get("icc_profile")
    findings = list(_further_pictures(shown, side, picture))
    grounded = with_white_ground(picture)
    if grounded is not None and grounded.was_seen_through:
        findings.append(_flattened(shown, side))
    elif isinstance(parts, png.PngParts) and png.passes_through(parts):
        return png.as_stream(parts), tuple(findings)
    elif isinstance(parts, jpeg.JpegHead) and jpeg.passes_through(parts):
        return jpeg.as_stream(data, parts, fitting_profile(icc, len(parts.components))), tuple(findings)
    stream = pack(shown, grounded.image if grounded else picture)
    if stream.bits == 8 and _stored_bits(parts, picture) > 8:
        findings.append(_reduced(shown, side))
    return _with_profile(stream, icc), tuple(findings)


def _with_profile(stream: ImageStream, icc: bytes | None) -> ImageStream:
    """The stream with the picture's profile, where that is made for its colours."""
    fitting = fitting_profile(icc, stream.colours)
    return stream if fitting is None else replace(stream, icc=fitting)


def _stored_bits(parts: png.PngParts | jpeg.JpegHead | None, picture: Image.Image) -> int:
    if parts is not None:
        return parts.bits
    bits = getattr(picture, "tag_v2", {}).get(258, (8,))  # TIFF 6.0 BitsPerSample
    return max(bits) if isinstance(bits, tuple) else int(bits)


def _further_pictures(shown: str, side: Side, picture: Image.Image) -> tuple[Finding, ...]:
    """A JPEG of the multi-picture kind: its first picture is the one that is meant (CIPA DC-007 4, from memory)."""
    count = getattr(picture, "n_frames", 1)
    if count < 2:
        return ()
    said = f"{shown} holds {count} pictures, as some phones save them; the first one is printed."
    return (Finding(level=Level.WARN, code="several-pictures", message=said, side=side),)


def _flattened(shown: str, side: Side) -> Finding:
    said = f"{shown} is see-through in places; these are printed on white, which is bare paper."
    return Finding(level=Level.NOTE, code="transparency-flattened", message=said, side=side)


def _reduced(shown: str, side: Side) -> Finding:
    said = f"{shown} has 16 bits per colour; 8 are kept, which is more than paper shows."
    return Finding(level=Level.NOTE, code="depth-reduced", message=said, side=side)
