"""Tell whether a TIFF is complete: every page's directory, its values and its strips or tiles lie inside the file.

Source: TIFF Revision 6.0, section 2 (header, directories, types) and 3, 15 (strips, tiles); the 64-bit variant
("BigTIFF", magic 43) widens counts and offsets to eight bytes.
"""

import struct
from collections.abc import Sequence
from dataclasses import dataclass
from typing import BinaryIO

_TYPE_BYTES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4, 16: 8, 17: 8, 18: 8}
_ARRAY_CODE = {1: "B", 3: "H", 4: "I", 13: "I", 16: "Q", 18: "Q"}
_COMPRESSION = 259
_PIXEL_TAGS = ((273, 279), (324, 325))  # offsets and byte counts of strips, of tiles
_NOT_COMPRESSED = 1
_MOST_PAGES = 100
_MOST_ENTRIES = 4096
_MOST_STRIPS = 500_000
_TAIL = 512


@dataclass(frozen=True, kw_only=True)
class _Value:
    """One value of a directory: its type, how many, and where they stand in the file."""

    kind: int
    count: int
    at: int

    @property
    def length(self) -> int:
        return _TYPE_BYTES.get(self.kind, 1) * self.count


def tiff_ends(file: BinaryIO, size: int) -> bool:
    """Whether every page of a TIFF lies inside the file and compressed pixels do not run out in zeros."""
    return _Walk(file, size).ends()


class _Walk:
    def __init__(self, file: BinaryIO, size: int) -> None:
        head = _read(file, 0, 16)
        self._file, self._size = file, size
        self._order = "<" if head[:2] == b"II" else ">"
        self._big = head[2:4] in (b"+\0", b"\0+")
        self._first = head[8:16] if self._big else head[4:8]
        self._wide = 8 if self._big else 4

    def ends(self) -> bool:
        at = self._number(self._first)
        for _ in range(_MOST_PAGES):
            directory = self._directory(at)
            if not directory or not self._page_is_there(directory[0]):
                return False
            at = directory[1]
            if at == 0:
                return True
        return True

    def _number(self, raw: bytes) -> int:
        return int.from_bytes(raw, "little" if self._order == "<" else "big")

    def _directory(self, at: int) -> tuple[dict[int, _Value], int] | None:
        """A page's values by tag and the place of the next directory; None when it is not all there."""
        count_bytes, entry_bytes = (8, 20) if self._big else (2, 12)
        if not 0 < at < self._size:
            return None
        count = self._number(_read(self._file, at, count_bytes))
        if not 0 < count <= _MOST_ENTRIES:
            return None
        start = at + count_bytes
        raw = _read(self._file, start, count * entry_bytes + self._wide)
        if len(raw) < count * entry_bytes + self._wide:
            return None
        values = {}
        for index in range(0, count * entry_bytes, entry_bytes):
            values[self._number(raw[index : index + 2])] = self._value(raw[index : index + entry_bytes], start + index)
        return values, self._number(raw[-self._wide :])

    def _value(self, entry: bytes, at: int) -> _Value:
        """A value; where it stands is in the entry itself when it fits there, else where the entry points."""
        here = _Value(
            kind=self._number(entry[2:4]),
            count=self._number(entry[4 : 4 + self._wide]),
            at=at + 4 + self._wide,
        )
        if here.length <= self._wide:
            return here
        return _Value(kind=here.kind, count=here.count, at=self._number(entry[4 + self._wide :]))

    def _page_is_there(self, values: dict[int, _Value]) -> bool:
        if any(value.at + value.length > self._size for value in values.values()):
            return False
        return all(
            self._pixels_are_there(values, values[offsets], values.get(lengths))
            for offsets, lengths in _PIXEL_TAGS
            if offsets in values
        )

    def _pixels_are_there(self, values: dict[int, _Value], offsets: _Value, lengths: _Value | None) -> bool:
        starts = self._array(offsets)
        counts = self._array(lengths) if lengths else [1] * len(starts)
        ends = [start + count for start, count in zip(starts, counts, strict=False)]
        if not ends or max(ends) > self._size:
            return not ends
        last = ends.index(max(ends))
        return not self._is_compressed(values) or not self._only_zeros(starts[last], counts[last])

    def _is_compressed(self, values: dict[int, _Value]) -> bool:
        said = self._array(values[_COMPRESSION]) if _COMPRESSION in values else []
        return bool(said) and said[0] != _NOT_COMPRESSED

    def _only_zeros(self, start: int, length: int) -> bool:
        tail = min(length, _TAIL)
        return not any(_read(self._file, start + length - tail, tail))

    def _array(self, value: _Value) -> Sequence[int]:
        """The whole numbers of a value; empty when there are too many or they are of another type."""
        code = _ARRAY_CODE.get(value.kind)
        if code is None or value.count > _MOST_STRIPS:
            return []
        raw = _read(self._file, value.at, value.length)
        return struct.unpack(f"{self._order}{value.count}{code}", raw) if len(raw) == value.length else []


def _read(file: BinaryIO, at: int, length: int) -> bytes:
    file.seek(at)
    return file.read(length)
