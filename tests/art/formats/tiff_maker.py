"""Make TIFFs whose pixels are JPEG data, strip by strip or tile by tile, as TIFF Technical Note 2 has them."""

import io
import struct

import numpy as np
from PIL import Image

GREY, RGB, CMYK, YCBCR = 1, 2, 5, 6
_TABLES = (0xDB, 0xC4)


def smooth(width, height, mode="RGB"):
    """A picture without hard edges, in which no two rows or columns are alike."""
    y, x = np.mgrid[0:height, 0:width]
    planes = [np.sin(x / (9 + n) + y / 13) * 60 + np.cos(y / (7 + n)) * 50 + 128 for n in range(len(mode))]
    return Image.fromarray(np.stack(planes, -1).astype(np.uint8).squeeze(), mode)


def jpeg_tiff(picture, *, colours=YCBCR, rows=None, tile=None, shared=True, subsampling=2, more=(), **save):
    """The bytes of a TIFF.

    Args:
        picture: its pixels.
        colours: the photometric interpretation.
        rows: of a strip; None: one strip.
        tile: width and height of a tile, instead of strips.
        shared: whether the tables stand in a tag, not in each piece.
        subsampling: as Pillow has it: 0 full colours, 2 halved both ways.
        more: further tags: number and value.
        save: how the pieces are saved.
    """
    save = {"quality": 90, "subsampling": subsampling if colours == YCBCR else 0, "keep_rgb": colours == RGB} | save
    width, height = picture.size
    across, down = tile or (width, rows or height)
    pieces, tables = [], b""
    for top in range(0, height, down):
        for left in range(0, width, across):
            size = tile or (width, min(down, height - top))
            piece = io.BytesIO()
            picture.crop((left, top, left + size[0], top + size[1])).save(piece, "JPEG", **save)
            tables, rest = _apart(piece.getvalue())
            pieces.append(rest if shared else piece.getvalue())
    tags = {256: width, 257: height, 258: 8, 259: 7, 262: colours, 277: len(picture.getbands()), 284: 1, **dict(more)}
    tags |= {322: tile[0], 323: tile[1]} if tile else {278: down}
    if colours == YCBCR:
        tags[530] = (2, 2) if subsampling == 2 else (1, 1)
    return _tiff(tags, pieces, tables if shared else b"", (324, 325) if tile else (273, 279))


def _apart(data):
    """The tables of a JPEG as a stream of their own, and the JPEG without them."""
    tables, rest, at = b"", b"\xff\xd8", 2
    while data[at + 1] != 0xDA:
        end = at + 2 + int.from_bytes(data[at + 2 : at + 4])
        if data[at + 1] in _TABLES:
            tables += data[at:end]
        else:
            rest += data[at:end]
        at = end
    return b"\xff\xd8" + tables + b"\xff\xd9", rest + data[at:]


def _tiff(tags, pieces, tables, places):
    body, starts = bytearray(8), []
    for piece in pieces:
        starts.append(len(body))
        body += piece + bytes(len(piece) % 2)
    values = {tag: (value if isinstance(value, tuple) else (value,)) for tag, value in tags.items()}
    entries = {tag: (4 if tag not in (258, 262, 530) else 3, list(value)) for tag, value in values.items()}
    entries |= {places[0]: (4, starts), places[1]: (4, [len(piece) for piece in pieces])}
    if tables:
        entries[347] = (7, list(tables))
    directory = bytearray(struct.pack("<H", len(entries)))
    for tag in sorted(entries):
        kind, value = entries[tag]
        raw = struct.pack(f"<{len(value)}{ {3: 'H', 4: 'I', 7: 'B'}[kind] }", *value)
        if len(raw) > 4:
            raw, at = b"", (len(body), body.extend(raw + bytes(len(raw) % 2)))[0]
            raw = struct.pack("<I", at)
        directory += struct.pack("<HHI", tag, kind, len(value)) + raw.ljust(4, b"\0")
    return b"II*\0" + struct.pack("<I", len(body)) + bytes(body[8:]) + bytes(directory) + bytes(4)
