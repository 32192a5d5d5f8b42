"""Read the markers of a JPEG file, so that its bytes can go into a PDF as they are.

Sources: JPEG (ITU-T T.81) B.1.1 and B.2 (markers, segments, scans), Adobe Technical Note 5116 (APP14 colour transform),
ISO 32000-1 7.4.8 (what DCTDecode takes). Colour rules: what libjpeg assumes for each mixture of markers.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from watcher.art.model import ImageStream

_BASELINE_OR_PROGRESSIVE = (0xC0, 0xC1, 0xC2)  # the processes that DCTDecode takes; not lossless, not arithmetic
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_LOSSLESS = (0xC3, 0xC7, 0xCB, 0xCF)
_HIERARCHICAL = (0xC5, 0xC6, 0xCD, 0xCE)
_START_OF_SCAN, _END = 0xDA, 0xD9
_TABLES = 0xC4
_IN_ONE_PLACE = (0xC0, 0xC1)  # baseline and extended: each block of 8 x 8 px is stored whole, in one place
_HOLE = bytes(128)
_ZEROS = re.compile(rb"\0{128,}+")
# A picture of one flat colour makes less than 0.1 zero bits a pixel whatever its tables (a bit or two for each block of
# each colour; our own sums); the same bound as for WebP in `inbox.raster_ends`.
_LONGEST_FLAT_BITS = 0.15
_SHORTEST_FLAT_BYTES = 512
# One byte before the marker, not all that fill up: what starts with one fixed byte is searched ten times faster.
_NEXT_MARKER = re.compile(rb"\xff([^\x00\xff\xd0-\xd7])", re.DOTALL)


@dataclass(frozen=True, kw_only=True)
class JpegHead:
    """What the markers before the pixels say.

    Attributes:
        width_px, height_px: of the stored pixels.
        bits: per sample.
        process: number of the frame marker, 0xC0 baseline, 0xC2 progressive.
        components: identifiers of the colour components.
        jfif: whether the JFIF marker is there.
        transform: colour transform of the Adobe marker, or None without one.
        end: where the picture ends in the file; more may follow it.
    """

    width_px: int
    height_px: int
    bits: int
    process: int
    components: bytes
    jfif: bool
    transform: int | None
    end: int


def read_head(data: bytes) -> JpegHead:
    """Read the head of a JPEG; the whole file must be there.

    Raises:
        ValueError: no frame, or no end of picture outside the segments (a cut file, or one filled up with zeros).
    """
    frame, process, jfif, transform, end = b"", 0, False, None, 0
    for marker, body, after in _segments(data):
        if marker in _FRAMES and not frame:
            frame, process = body, marker
        elif marker == 0xE0 and body.startswith(b"JFIF"):
            jfif = True
        elif marker == 0xEE and body.startswith(b"Adobe") and len(body) >= 12:
            transform = body[11]
        elif marker == _END:
            end = after
    if len(frame) < 6 or len(frame) < 6 + 3 * frame[5] or not end:
        raise ValueError("no whole picture")
    return JpegHead(
        width_px=int.from_bytes(frame[3:5]),
        height_px=int.from_bytes(frame[1:3]),
        bits=frame[0],
        process=process,
        components=frame[6 : 6 + 3 * frame[5] : 3],
        jfif=jfif,
        transform=transform,
        end=end,
    )


def has_hole(data: bytes, head: JpegHead) -> bool:
    """Whether the compressed pixels hold a run of zeros that no picture makes: space laid out and never filled.

    The shortest word of each code table is all zeros (T.81 Annex C). Where that word of a table for details does not
    mean "no more details", zeros spell blocks in which every detail has the same strength, and 128 bytes of them hold
    at least one such block: never art. Else zeros may be one flat colour, of which there is no more than the picture
    has pixels.
    """
    if _HOLE not in data:  # nearly always
        return False
    flat = max(_SHORTEST_FLAT_BYTES, int(head.width_px * head.height_px * _LONGEST_FLAT_BITS / 8))
    spells_detail: dict[int, bool] = {}
    for marker, body, after in _segments(data):
        if marker == _TABLES:
            spells_detail.update(_spelling(body))
        elif marker == _START_OF_SCAN:
            with_detail = head.process in _IN_ONE_PLACE and any(spells_detail.get(one & 15) for one in body[2:-3:2])
            end = found.start() if (found := _NEXT_MARKER.search(data, after)) else len(data)
            runs = (len(run[0]) for run in _ZEROS.finditer(data, after, end))
            if any(with_detail or length > flat for length in runs):
                return True
    return False


def _spelling(tables: bytes) -> Iterator[tuple[int, bool]]:
    """For each table of details (class 1, T.81 B.2.4.2) whether its word of zeros says more than "the end"."""
    at = 0
    while at + 17 < len(tables):
        if tables[at] >> 4 == 1:
            yield tables[at] & 15, tables[at + 17] != 0
        at += 17 + sum(tables[at + 1 : at + 17])


def kind_fault(head: JpegHead) -> str | None:
    """Why a JPEG of this kind is not taken, to follow the file's name; None when it is. Source: T.81 table B.1."""
    if head.process in _LOSSLESS:
        return "is a lossless JPEG, a kind of its own that is not taken"
    if head.process in _HIERARCHICAL:
        return "is a JPEG in several sizes (hierarchical), a kind that is not taken"
    if head.bits != 8:
        return f"is a JPEG of {head.bits} bits per colour; 8 are taken"
    if len(head.components) not in (1, 3, 4):
        return f"is a JPEG of {len(head.components)} colours; 1, 3 and 4 are taken"
    return None


def passes_through(head: JpegHead) -> bool:
    """Whether every reader of a PDF sees the colours in these bytes that libjpeg sees."""
    if head.process not in _BASELINE_OR_PROGRESSIVE or head.bits != 8:
        return False
    if len(head.components) == 3:
        unmarked_rgb = head.components == b"RGB" and not head.jfif and head.transform is None
        at_odds = head.jfif and head.transform == 0  # libjpeg goes by JFIF (YCbCr), PDF by Adobe (RGB)
        return not unmarked_rgb and not at_odds
    return len(head.components) in (1, 4)


def as_stream(data: bytes, head: JpegHead) -> ImageStream:
    """The file's own bytes as an image stream; for heads that pass through.

    Four colours are stored with ink = 0, as Photoshop began it and Pillow and pdfium read it (tried by us,
    with and without the Adobe marker).
    """
    return ImageStream(
        data=data if head.end == len(data) else data[: head.end],
        filter="/DCTDecode",
        predictor=None,
        width_px=head.width_px,
        height_px=head.height_px,
        bits=8,
        colours=len(head.components),
        inverted=len(head.components) == 4,
    )


def _segments(data: bytes) -> Iterator[tuple[int, bytes, int]]:
    """Marker, body and end of each segment up to the end of the picture."""
    at = 2
    while found := _NEXT_MARKER.search(data, at):
        marker, at = found[1][0], found.end()
        if marker == _END:
            yield marker, b"", at
            return
        if marker == 0x01:  # TEM stands alone
            continue
        length = int.from_bytes(data[at : at + 2])
        if length < 2 or at + length > len(data):
            return
        at += length
        yield marker, data[at - length + 2 : at], at
