"""Open a picture file as art. It is decoded exactly once, which proves it whole.

Its own compressed data then goes on as it came wherever a PDF can hold it, and everything else is packed again without
loss. A thumbnail of the decoded pixels is kept for the checks.
"""

from dataclasses import dataclass, replace
from fractions import Fraction

from PIL import Image

from watcher.art.encode import encode_deep
from watcher.art.formats import jpeg, png
from watcher.art.formats.density import size_said, upright_as, upright_of
from watcher.art.formats.headers import DAMAGED, size_fault
from watcher.art.formats.openers import OPENERS, Head
from watcher.art.formats.png_bands import goes_in_bands, read_in_bands
from watcher.art.formats.png_deep import deep_pixels
from watcher.art.formats.profile import SRGB, fitting_profile
from watcher.art.model import Art, ImageStream, Raster, Thumbnail
from watcher.art.pixels import load_picture, pack, several_pictures, with_white_ground
from watcher.art.thumbnail import SHORTEST_PX, make_thumbnail
from watcher.art.tiff_stream import own_stream
from watcher.errors import ArtUnreadable
from watcher.inbox.formats import PNG, FileFormat
from watcher.inbox.tiff_pages import TiffPage
from watcher.layout.geometry import Size
from watcher.terms import Finding, Level, Side, Turn

_MOST_TOLD = 10_000  # a broken count is no news to anybody


@dataclass(frozen=True, kw_only=True)
class _Decoded:
    """A picture and what its head said: its profile, its EXIF block, its bits per sample."""

    head: Head
    picture: Image.Image
    icc: bytes | None
    exif: bytes
    bits: int


def open_raster(side: Side, shown: str, sha256: str, data: bytes, kind: FileFormat, page: int | None = None) -> Art:
    """Open one side's picture as art and turn it upright.

    Args:
        side: as for `decode.open_art`, and so `shown`, `sha256` and `data`.
        shown: see there.
        sha256: see there.
        data: see there.
        kind: the format that the bytes are in.
        page: of a TIFF, from 0; None: its only one.

    Raises:
        ArtUnreadable: see `decode.open_art`.
    """
    head = _read_head(shown, data, kind, page)
    if isinstance(head, png.PngParts) and goes_in_bands(head):
        return _open_in_bands(side, shown, sha256, head)
    decoded = _decode(shown, data, kind, head)
    mirrored, turn = (False, Turn.NONE) if OPENERS[kind].is_turned else upright_of(decoded.exif)
    stream, thumbnail, findings = _stream_of(shown, side, data, decoded, turn, mirrored)
    if isinstance(head, TiffPage) and stream.filter == "/DCTDecode":  # its own data: not turned by Pillow
        mirrored, turn = upright_as(head.orientation)
    density = decoded.head.density if isinstance(decoded.head, png.PngParts) else decoded.picture.info.get("dpi")
    art = _art(side, shown, sha256, Raster(stream=stream, turn=turn, mirrored=mirrored), thumbnail)
    return replace(art, findings=findings, real_size=size_said(art.extent, density, decoded.exif))


def _art(side: Side, shown: str, sha256: str, content: Raster, thumbnail: Thumbnail) -> Art:
    """The art as far as its stored pixels tell it."""
    extent = Size(Fraction(content.stream.width_px), Fraction(content.stream.height_px)).turned(content.turn)
    return Art(
        side=side,
        file=shown,
        sha256=sha256,
        extent=extent,
        width_px=int(extent.width),
        height_px=int(extent.height),
        content=content,
        thumbnail=thumbnail,
    )


def _open_in_bands(side: Side, shown: str, sha256: str, parts: png.PngParts) -> Art:
    mirrored, turn = upright_of(parts.exif)
    try:
        banded = read_in_bands(parts, turn=turn, mirrored=mirrored)
    except ValueError as fault:
        raise ArtUnreadable(shown, str(fault)) from fault
    content = Raster(stream=_with_profile(banded.stream, parts.icc), turn=turn, mirrored=mirrored)
    art = _art(side, shown, sha256, content, banded.thumbnail)
    return replace(art, real_size=size_said(art.extent, parts.density, parts.exif))


def _read_head(shown: str, data: bytes, kind: FileFormat, page: int | None) -> Head:
    """What can be known without decoding; refuses what is cut short or too large before any decoder sees it."""
    try:
        head = OPENERS[kind].read_head(shown, data, page)
    except (ValueError, IndexError) as cause:
        raise ArtUnreadable(shown, DAMAGED) from cause
    if isinstance(head, png.PngParts) and head.frames > 1:
        count = head.frames if head.frames <= _MOST_TOLD else "several"
        raise several_pictures(shown, f"{count} moving pictures")
    if fault := size_fault(head.width_px, head.height_px):
        raise ArtUnreadable(shown, fault, "Export it smaller" if "most" in fault else "Export it again")
    if isinstance(head, jpeg.JpegHead) and (fault := jpeg.kind_fault(head)):
        raise ArtUnreadable(shown, fault, "Export it as an ordinary JPEG, or as PNG")
    return head


def _decode(shown: str, data: bytes, kind: FileFormat, head: Head) -> _Decoded:
    if isinstance(head, png.PngParts):
        return _Decoded(head=head, picture=_decode_png(shown, head), icc=head.icc, exif=head.exif, bits=head.bits)
    if isinstance(head, jpeg.JpegHead) and jpeg.has_hole(data, head):
        raise ArtUnreadable(shown, "is damaged: a part of its pixels was never filled in")
    # of a JPEG that goes on as it came only the checks see the pixels, and they look at a small picture
    least_px = SHORTEST_PX if isinstance(head, jpeg.JpegHead) and jpeg.passes_through(head) else None
    picture = load_picture(shown, data, kind, head if isinstance(head, TiffPage) else None, least_px)
    info = picture.info
    return _Decoded(head=head, picture=picture, icc=info.get("icc_profile"), exif=info.get("exif", b""), bits=head.bits)


def _decode_png(shown: str, parts: png.PngParts) -> Image.Image:
    if not png.passes_through(parts):
        return load_picture(shown, png.pixels_alone(parts), PNG)
    try:
        return png.picture_of(parts, png.unpacked(parts))
    except ValueError as fault:
        raise ArtUnreadable(shown, str(fault)) from fault


def _stream_of(
    shown: str, side: Side, data: bytes, decoded: _Decoded, turn: Turn, mirrored: bool
) -> tuple[ImageStream, Thumbnail, tuple[Finding, ...]]:
    """What the sheet draws, what the checks look at, and what opening it showed."""
    findings = list(_further_pictures(shown, side, decoded.picture))
    grounded = with_white_ground(decoded.picture)
    picture = grounded.image if grounded else decoded.picture
    clear = grounded.clear if grounded else 0.0
    stream = None if clear else _own_stream(data, decoded)
    if stream is None:
        stream = _deep_stream(shown, decoded) or pack(shown, picture)
        if stream.bits == 8 and decoded.bits > 8:
            findings.append(_reduced(shown, side, decoded.bits))
    thumbnail = make_thumbnail(picture, turn=turn, mirrored=mirrored, clear=clear)
    return _with_profile(stream, decoded.icc), thumbnail, tuple(findings)


def _deep_stream(shown: str, decoded: _Decoded) -> ImageStream | None:
    """All 16 bits of a PNG's colours, which Pillow's own picture does not have; None for any other picture."""
    if not isinstance(decoded.head, png.PngParts):
        return None
    try:
        deep = deep_pixels(decoded.head)
    except (OSError, SyntaxError, ValueError) as cause:
        raise ArtUnreadable(shown, DAMAGED) from cause
    return encode_deep(deep.samples) if deep else None


def _own_stream(data: bytes, decoded: _Decoded) -> ImageStream | None:
    """The file's own compressed data, where a PDF can hold it."""
    if isinstance(decoded.head, png.PngParts) and png.passes_through(decoded.head):
        return png.as_stream(decoded.head)
    if isinstance(decoded.head, jpeg.JpegHead) and jpeg.passes_through(decoded.head):
        return jpeg.as_stream(data, decoded.head)
    return own_stream(data, decoded.head, decoded.picture) if isinstance(decoded.head, TiffPage) else None


def _with_profile(stream: ImageStream, icc: bytes | None) -> ImageStream:
    """The stream with the picture's profile, where that is made for its colours. Untagged RGB is taken as sRGB."""
    colours = 3 if stream.palette else stream.colours
    return replace(stream, icc=fitting_profile(icc, colours) or (SRGB if colours == 3 else None))


def _further_pictures(shown: str, side: Side, picture: Image.Image) -> tuple[Finding, ...]:
    """A JPEG of the multi-picture kind: its first picture is the one that is meant (CIPA DC-007 4, from memory)."""
    count = getattr(picture, "n_frames", 1) if picture.format == "MPO" else 1
    if count < 2:
        return ()
    said = f"{shown} holds {count} pictures, as some phones save them; the first one is printed."
    return (Finding(level=Level.WARN, code="several-pictures", message=said, side=side),)


def _reduced(shown: str, side: Side, bits: int) -> Finding:
    said = f"{shown} has {bits} bits per colour; 8 are kept, which is more than paper shows."
    return Finding(level=Level.NOTE, code="depth-reduced", message=said, side=side)
