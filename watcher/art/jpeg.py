"""What the markers of a JPEG file say, so that its bytes can go into a PDF as they are.

Sources: JPEG (ITU-T T.81) B.1.1 and B.2 (markers, segments, scans), Adobe Technical Note 5116 (APP14 colour transform),
ISO 32000-1 7.4.8 (what DCTDecode takes). Colour rules: what libjpeg assumes for each mixture of markers.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from watcher.art.model import ImageStream

_BASELINE_OR_PROGRESSIVE = (0xC0, 0xC1, 0xC2)  # the processes that DCTDecode takes; not lossless, not arithmetic
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_START_OF_SCAN, _END = 0xDA, 0xD9
_NEXT_MARKER = re.compile(rb"\xff+([^\x00\xff\xd0-\xd7])", re.DOTALL)


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
    """The head of a JPEG that is all there.

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


def passes_through(head: JpegHead) -> bool:
    """Whether every reader of a PDF sees the colours in these bytes that libjpeg sees."""
    if head.process not in _BASELINE_OR_PROGRESSIVE or head.bits != 8:
        return False
    if len(head.components) == 3:
        unmarked_rgb = head.components == b"RGB" and not head.jfif and head.transform is None
        at_odds = head.jfif and head.transform == 0  # libjpeg goes by JFIF (YCbCr), PDF by Adobe (RGB)
        return not unmarked_rgb and not at_odds
    return len(head.components) in (1, 4)


def as_stream(data: bytes, head: JpegHead, icc: bytes | None) -> ImageStream:
    """The file's own bytes as an image stream; for heads that pass through.

    Four colours are stored with ink = 0, as Photoshop began it and Pillow and pdfium read it (library-notes 3: measured
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
        icc=icc,
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
