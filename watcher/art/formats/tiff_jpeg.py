"""Put the JPEG data inside a TIFF together as one JPEG file, without touching a single coefficient.

Each strip or tile of such a TIFF is a JPEG stream of its own; what tables they share stands in a tag. One strip becomes
a file by putting those tables before it. Several that lie below each other are joined by restart markers: at a restart
a decoder begins anew exactly as at the head of a scan. Tiles side by side cannot be joined so, for a JPEG stores whole
rows of blocks, nor can strips that differ in their tables.

Sources: TIFF Technical Note 2, "JPEG in TIFF" (compression 7, tag 347); TIFF 6.0 sections 3, 8, 15; JPEG (ITU-T T.81)
B.2.2 to B.2.4 (frame, scan, tables, restart interval), E.1.4 (restart), A.2 (blocks and their order); JFIF 1.02;
Adobe Technical Note 5116 (APP14).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

PACKING = 7  # the number of the compression that is read here; 6, its forerunner, is not
_JFIF = b"\xff\xe0\x00\x10JFIF\0\x01\x02\0\0\x01\0\x01\0\0"
_ADOBE_RGB = b"\xff\xee\x00\x0eAdobe\0\x64\0\0\0\0\0"
_GREY, _RGB, _INKS, _YCBCR = 1, 2, 5, 6  # photometric interpretations
_MARK_OF = {_GREY: _JFIF, _RGB: _ADOBE_RGB, _INKS: b"", _YCBCR: _JFIF}  # four colours without a mark are no others
_COLOURS_OF = {_GREY: 1, _RGB: 3, _INKS: 4, _YCBCR: 3}
_WIDTH, _HEIGHT, _BITS, _PHOTOMETRIC, _STRIPS, _SAMPLES = 256, 257, 258, 262, 273, 277
_ROWS, _STRIP_BYTES, _PLANES, _TILE_WIDTH, _TILE_HEIGHT, _TILES, _TILE_BYTES = 278, 279, 284, 322, 323, 324, 325
_TABLES = 347
_START, _END, _SCAN, _QUANTIZERS, _CODES, _INTERVAL = 0xD8, 0xD9, 0xDA, 0xDB, 0xC4, 0xDD
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_SEQUENTIAL = (0xC0, 0xC1)  # baseline and extended, Huffman: whole blocks in one scan
_RESTARTS = range(0xD0, 0xD8)
_SAID_ABOVE = (*range(0xE0, 0xF0), 0xFE)  # application data and comments: what counts is said by tags
_LONGEST_INTERVAL = 65535
_BLOCK_PX = 8


@dataclass(frozen=True, kw_only=True)
class JoinedJpeg:
    """A JPEG file made of the data inside a TIFF.

    Attributes:
        data: the file.
        width_px, height_px: of its pixels.
        colours: 1 grey, 3 RGB or YCbCr, 4 CMYK with ink = 255 (in a JPEG file of its own it would be 0).
        seams_px: rows at which pieces were joined: there a reader may blend colours that a reader of the TIFF does not.
        is_cut: whether it ends, at the right or below, inside of a tile.
    """

    data: bytes
    width_px: int
    height_px: int
    colours: int
    seams_px: tuple[int, ...]
    is_cut: bool


@dataclass(frozen=True, kw_only=True)
class _Grid:
    """The pieces of a TIFF, each below the one before: where they lie in the file, and their size."""

    places: tuple[tuple[int, int], ...]
    width_px: int
    height_px: int
    are_tiles: bool


@dataclass(frozen=True, kw_only=True)
class _Piece:
    """A strip or tile taken apart: what stands before its scan, the scan's own head, and what follows, without the end.

    Attributes:
        frame: marker and body of the frame.
        tables: its tables by kind and number.
        interval: blocks between two restarts; 0 for none.
        head: all segments before the scan, as they stand.
        scan: the head of the first scan.
        coded: everything after that.
    """

    frame: tuple[int, bytes]
    tables: Mapping[tuple[int, int], bytes]
    interval: int
    head: tuple[tuple[int, bytes], ...]
    scan: bytes
    coded: bytes

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height that the frame says."""
        return int.from_bytes(self.frame[1][3:5]), int.from_bytes(self.frame[1][1:3])

    @property
    def unit_px(self) -> tuple[int, int]:
        """Width and height of the smallest coded unit (T.81 A.2.3, A.2.4)."""
        factors = self.frame[1][7::3]
        if len(factors) == 1:
            return _BLOCK_PX, _BLOCK_PX
        return _BLOCK_PX * max(one >> 4 for one in factors), _BLOCK_PX * max(one & 15 for one in factors)

    def units(self, size_px: tuple[int, int]) -> tuple[int, int]:
        """How many units stand across and down in a picture of that size."""
        return -(-size_px[0] // self.unit_px[0]), -(-size_px[1] // self.unit_px[1])


def joined_jpeg(data: bytes, tags: Mapping[int, object]) -> JoinedJpeg | None:
    """Give the picture of a TIFF whose pixels are JPEG data as one JPEG file; None where that cannot be.

    Args:
        data: the TIFF.
        tags: of its directory that is meant, by number.
    """
    photometric = _number(tags, _PHOTOMETRIC)
    colours = _COLOURS_OF.get(photometric)
    grid = _grid(tags)
    if colours is None or grid is None or _number(tags, _SAMPLES, 1) != colours or _number(tags, _PLANES, 1) != 1:
        return None
    if any(bits != 8 for bits in _numbers(tags, _BITS)):
        return None
    try:
        shared = _segments(_as_bytes(tags.get(_TABLES)), tables_only=True)
        pieces = [_piece(data[start : start + length], shared) for start, length in grid.places]
    except (ValueError, IndexError):
        return None
    size = _number(tags, _WIDTH), _number(tags, _HEIGHT)
    if not _fits(pieces, grid, size, colours, is_rgb=photometric == _RGB):
        return None
    return replace(_joined(pieces, grid, size, colours), data=_file(pieces, size, _MARK_OF[photometric]))


def _grid(tags: Mapping[int, object]) -> _Grid | None:
    width, height = _number(tags, _WIDTH), _number(tags, _HEIGHT)
    are_tiles = _TILES in tags
    across = _number(tags, _TILE_WIDTH) if are_tiles else width
    down = _number(tags, _TILE_HEIGHT) if are_tiles else min(_number(tags, _ROWS, height), height)
    starts, lengths = (_numbers(tags, tag) for tag in ((_TILES, _TILE_BYTES) if are_tiles else (_STRIPS, _STRIP_BYTES)))
    if not (0 < width <= across and down > 0) or len(starts) != len(lengths) or len(starts) != -(-height // down):
        return None
    return _Grid(places=tuple(zip(starts, lengths, strict=True)), width_px=across, height_px=down, are_tiles=are_tiles)


def _fits(pieces: Sequence[_Piece], grid: _Grid, size: tuple[int, int], colours: int, *, is_rgb: bool) -> bool:
    """Whether the pieces are of one kind, sized as the tags say, and end where the picture ends."""
    first = pieces[0]
    factors = set(first.frame[1][7::3])
    if len(first.frame[1]) != 6 + 3 * colours or first.frame[1][5] != colours or first.frame[1][0] != 8:
        return False
    if is_rgb and len(factors) != 1:
        return False
    for number, piece in enumerate(pieces):
        rows = grid.height_px if grid.are_tiles else min(grid.height_px, size[1] - number * grid.height_px)
        if piece.size_px != (grid.width_px, rows):
            return False
    stacked = grid.width_px, sum(piece.size_px[1] for piece in pieces)
    if first.units(stacked) != first.units(size):
        return False
    return len(pieces) == 1 or _can_be_joined(pieces, grid)


def _can_be_joined(pieces: Sequence[_Piece], grid: _Grid) -> bool:
    first = pieces[0]
    kind, body = first.frame
    across, down = first.units((grid.width_px, grid.height_px))
    if kind not in _SEQUENTIAL or first.scan[0] != body[5] or grid.height_px % first.unit_px[1]:
        return False
    if across * down > _LONGEST_INTERVAL:
        return False
    return all(
        not piece.interval
        and piece.frame[0] == kind
        and piece.frame[1][5:] == body[5:]
        and piece.scan == first.scan
        and piece.tables == first.tables
        and _is_one_scan(piece.coded)
        for piece in pieces
    )


def _is_one_scan(coded: bytes) -> bool:
    """Whether nothing but coded blocks follows: each 0xFF is one of the data's own (T.81 B.1.1.5)."""
    return coded.count(b"\xff") == coded.count(b"\xff\0")


def _joined(pieces: Sequence[_Piece], grid: _Grid, size: tuple[int, int], colours: int) -> JoinedJpeg:
    return JoinedJpeg(
        data=b"",
        width_px=size[0],
        height_px=size[1],
        colours=colours,
        seams_px=tuple(grid.height_px * number for number in range(1, len(pieces))),
        is_cut=grid.are_tiles,
    )


def _file(pieces: Sequence[_Piece], size: tuple[int, int], mark: bytes) -> bytes:
    first = pieces[0]
    kind, body = first.frame
    frame = body[:1] + size[1].to_bytes(2) + size[0].to_bytes(2) + body[5:]
    parts = [b"\xff\xd8", mark]
    parts += [_segment(marker, frame if marker == kind else said) for marker, said in first.head]
    if len(pieces) > 1:
        across, down = first.units(first.size_px)
        parts.append(_segment(_INTERVAL, (across * down).to_bytes(2)))
    parts.append(_segment(_SCAN, first.scan))
    for number, piece in enumerate(pieces):
        parts.append(bytes((0xFF, _RESTARTS[(number - 1) % 8])) if number else b"")
        parts.append(piece.coded)
    return b"".join((*parts, b"\xff\xd9"))


def _segment(marker: int, body: bytes) -> bytes:
    return bytes((0xFF, marker)) + (len(body) + 2).to_bytes(2) + body


def _piece(data: bytes, shared: Sequence[tuple[int, bytes]]) -> _Piece:
    """Take a strip or tile apart.

    Raises:
        ValueError, IndexError: it is no whole JPEG stream, or of a kind that is not known here.
    """
    end = data.rindex(b"\xff\xd9")
    if data[end + 2 :].strip(b"\0\xff"):
        raise ValueError("more after the end")
    own = _segments(data[:end])
    *head, (marker, scan) = own[:-1]
    if marker != _SCAN:
        raise ValueError("no scan")
    segments = tuple(one for one in (*shared, *head) if one[0] not in _SAID_ABOVE)
    (frame,) = (one for one in segments if one[0] in _FRAMES)
    interval = [body for kind, body in segments if kind == _INTERVAL]
    return _Piece(
        frame=frame,
        tables=dict(_tables(segments)),
        interval=int.from_bytes(interval[-1]) if interval else 0,
        head=segments,
        scan=scan,
        coded=own[-1][1],
    )


def _segments(data: bytes, *, tables_only: bool = False) -> list[tuple[int, bytes]]:
    """Marker and body of each segment; after the head of a scan all the rest, as marker 0.

    Raises:
        ValueError, IndexError: it is not made so.
    """
    if tables_only and not data:
        return []
    if data[:2] != bytes((0xFF, _START)):
        raise ValueError("no start")
    found: list[tuple[int, bytes]] = []
    at = 2
    while at < len(data):
        if data[at] != 0xFF:
            raise ValueError("no marker")
        marker = data[at + 1]
        if marker == 0xFF:  # they may be filled up (B.1.1.2)
            at += 1
            continue
        if marker == _END:
            return found
        length = int.from_bytes(data[at + 2 : at + 4])
        if length < 2 or at + 2 + length > len(data) or (tables_only and marker == _SCAN):
            raise ValueError("cut short")
        found.append((marker, data[at + 4 : at + 2 + length]))
        at += 2 + length
        if marker == _SCAN:
            found.append((0, data[at:]))
            break
    return found


def _tables(segments: Sequence[tuple[int, bytes]]) -> Iterator[tuple[tuple[int, int], bytes]]:
    """Each table by its kind and number; a later one takes the place of an earlier (B.2.4.1, B.2.4.2)."""
    for marker, body in segments:
        at = 0
        while marker in (_QUANTIZERS, _CODES) and at < len(body):
            values = (128 if body[at] >> 4 else 64) if marker == _QUANTIZERS else 16 + sum(body[at + 1 : at + 17])
            yield (marker, body[at]), body[at + 1 : at + 1 + values]
            at += 1 + values


def _numbers(tags: Mapping[int, object], tag: int) -> tuple[int, ...]:
    said = tags.get(tag, ())
    values = said if isinstance(said, tuple) else (said,)
    return tuple(value for value in values if isinstance(value, int))


def _number(tags: Mapping[int, object], tag: int, otherwise: int = 0) -> int:
    return next(iter(_numbers(tags, tag)), otherwise)


def _as_bytes(said: object) -> bytes:
    return said if isinstance(said, bytes) else bytes(_numbers({0: said}, 0)) if isinstance(said, tuple) else b""
