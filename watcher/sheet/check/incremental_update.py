"""Append an incremental update to a finished PDF.

Source: ISO 32000-1 7.5.6 (incremental updates), 7.5.4 (cross-reference table), 7.5.5 (trailer).
"""

import io
import re
from collections.abc import Mapping
from typing import NamedTuple

_TAIL = 2048  # bytes in which our own writer's trailer stands
_ROOT, _SIZE, _START = re.compile(rb"/Root (\d+) 0 R"), re.compile(rb"/Size (\d+)"), re.compile(rb"startxref\s+(\d+)")


class Trailer(NamedTuple):
    """The trailer of a PDF: the catalog's object number, /Size, and the offset of the cross-reference table."""

    root: int
    size: int
    start: int


def read_trailer(pdf: bytes) -> Trailer:
    """Read the trailer of a PDF with a plain cross-reference table, as our sheets have it.

    Raises:
        ValueError: there is none.
    """
    tail = pdf[-_TAIL:]
    found = [pattern.findall(tail) for pattern in (_ROOT, _SIZE, _START)]
    if not all(found):
        raise ValueError("the PDF has no plain trailer")
    return Trailer(*(int(values[-1]) for values in found))


class IncrementalUpdate(io.RawIOBase):
    """A PDF and its update as one readable file, without a copy of the PDF.

    Args:
        pdf: the file.
        objects: bodies of objects by number; a number in use replaces the old object.
    """

    def __init__(self, pdf: bytes, objects: Mapping[int, bytes]) -> None:
        super().__init__()
        self._parts, self._length, self._at = [(0, memoryview(pdf))], len(pdf), 0
        trailer, places = read_trailer(pdf), {}
        self._put(b"\n")
        for number, body in sorted(objects.items()):
            places[number] = self._length
            self._put(b"%d 0 obj\n" % number, body, b"\nendobj\n")
        self._put(_table(trailer, places, self._length))

    def _put(self, *pieces: bytes) -> None:
        for piece in pieces:
            self._parts.append((self._length, memoryview(piece)))
            self._length += len(piece)

    def readable(self) -> bool:
        """True."""
        return True

    def seekable(self) -> bool:
        """True."""
        return True

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """Move to an offset, as `io.IOBase.seek`."""
        before = {io.SEEK_SET: 0, io.SEEK_CUR: self._at, io.SEEK_END: self._length}
        self._at = before[whence] + offset
        return self._at

    def tell(self) -> int:
        """The offset now."""
        return self._at

    def readinto(self, buffer: "bytearray | memoryview") -> int:  # type: ignore[override]  # any buffer is taken
        """Read into a buffer until it is full or the file ends; returns the number of bytes."""
        into, done = memoryview(buffer).cast("B"), 0
        for start, part in self._parts:
            offset = self._at + done - start
            if 0 <= offset < len(part) and done < len(into):
                piece = part[offset : offset + len(into) - done]
                into[done : done + len(piece)] = piece
                done += len(piece)
        self._at += done
        return done


def _table(trailer: Trailer, places: Mapping[int, int], start: int) -> bytes:
    """The cross-reference table of the appended objects, and its trailer."""
    lines = b"".join(b"%d 1\n%010d 00000 n \n" % place for place in places.items())
    size = max([trailer.size, *(number + 1 for number in places)])
    entries = b"<</Size %d /Root %d 0 R /Prev %d>>" % (size, trailer.root, trailer.start)
    return b"xref\n%strailer\n%s\nstartxref\n%d\n%%%%EOF\n" % (lines, entries, start)
