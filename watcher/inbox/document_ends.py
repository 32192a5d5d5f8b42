"""Where PDF, ZIP and TOML end. Each walk is told the file and its size and says whether the end is there."""

import re
import struct
from dataclasses import dataclass
from typing import BinaryIO

# PDF (ISO 32000-1, 7.5.5 and implementation note 18 of Annex H): the end mark stands in the last 1,024 bytes.
_PDF_TAIL = 1024
_PDF_POINTER_REACH = 256
_PDF_LINE_ENDS = 16  # what tools strip behind the end mark does no harm
_START_XREF = re.compile(rb"startxref\s+([0-9]{1,12})\s+%%EOF")
_LINEARIZED_LENGTH = re.compile(rb"/Linearized\b[^>]{0,400}?/L\s+([0-9]{1,12})", re.DOTALL)

# ZIP (PKWARE APPNOTE 6.3, 4.3.14 to 4.3.16): the end record, before it the 64-bit one and its locator.
_ZIP_END = struct.Struct("<4s4H2LH")
_ZIP_END_MARK = b"PK\x05\x06"
_ZIP_LOCATOR = struct.Struct("<4sLQL")
_ZIP_LOCATOR_MARK = b"PK\x06\x07"
_ZIP64_END = struct.Struct("<4sQ2H2L4Q")
_ZIP64_END_MARK = b"PK\x06\x06"
_ZIP_ENTRY_MARK = b"PK\x01\x02"
_ZIP_LONGEST_COMMENT = 65_535
_IN_WIDE_RECORD_16, _IN_WIDE_RECORD_32 = 0xFFFF, 0xFFFFFFFF  # "see the 64-bit record"

_TOML_LOOKED_AT = 1 << 20


def pdf_ends(file: BinaryIO, size: int) -> bool:
    """Whether the last `%%EOF` is there and the table that it names lies inside the file."""
    start = max(0, size - _PDF_TAIL - _PDF_POINTER_REACH)
    tail = _read(file, start, size - start)
    pointers = list(_START_XREF.finditer(tail))
    if not pointers or start + pointers[-1].end() < size - _PDF_TAIL:
        return False
    announced = _LINEARIZED_LENGTH.search(_read(file, 0, 2048))
    return 0 < int(pointers[-1][1]) < size and (announced is None or int(announced[1]) <= size + _PDF_LINE_ENDS)


@dataclass(frozen=True, kw_only=True)
class ZipDirectory:
    """What a ZIP's end record says of its directory: how many entries, and how many bytes they take."""

    entries: int
    length: int


def zip_ends(file: BinaryIO, size: int) -> bool:
    """Whether the end record is there in full, and before it the whole directory that it announces."""
    return zip_directory(file, size) is not None


def zip_directory(file: BinaryIO, size: int) -> ZipDirectory | None:
    """The directory that the end record announces; None when either is not all there."""
    start = max(0, size - _ZIP_END.size - _ZIP_LONGEST_COMMENT)
    tail = _read(file, start, size - start)
    at = tail.rfind(_ZIP_END_MARK)
    while at >= 0:
        found = _directory_before(file, size, start + at)
        if found is not None:
            return found
        at = tail.rfind(_ZIP_END_MARK, 0, at)  # the mark stood in a comment
    return None


def _directory_before(file: BinaryIO, size: int, at: int) -> ZipDirectory | None:
    raw = _read(file, at, _ZIP_END.size)
    if len(raw) < _ZIP_END.size:
        return None
    *_, count, length, offset, comment = _ZIP_END.unpack(raw)
    if at + _ZIP_END.size + comment > size:
        return None
    end = at
    if count == _IN_WIDE_RECORD_16 or _IN_WIDE_RECORD_32 in (length, offset):
        end, count, length, offset = _zip64_record(file, at) or (end, count, length, offset)
    first = end - length
    if first < offset or (count > 0 and _read(file, first, 4) != _ZIP_ENTRY_MARK):
        return None  # the directory may stand later than announced, behind what was put before the ZIP, never earlier
    return ZipDirectory(entries=count, length=length)


def _zip64_record(file: BinaryIO, end: int) -> tuple[int, int, int, int] | None:
    """Place of the 64-bit end record, entries, length and offset of the directory; None when there is none."""
    locator = _read(file, max(0, end - _ZIP_LOCATOR.size), _ZIP_LOCATOR.size)
    if len(locator) < _ZIP_LOCATOR.size or not locator.startswith(_ZIP_LOCATOR_MARK):
        return None
    at = end - _ZIP_LOCATOR.size - _ZIP64_END.size
    raw = _read(file, max(0, at), _ZIP64_END.size)
    if len(raw) < _ZIP64_END.size or not raw.startswith(_ZIP64_END_MARK):
        return None
    *_, count, length, offset = _ZIP64_END.unpack(raw)
    return at, count, length, offset


def toml_ends(file: BinaryIO, size: int) -> bool:
    """Whether a ticket holds text and no zeros, which stand where a file was laid out before it was filled."""
    text = _read(file, 0, min(size, _TOML_LOOKED_AT))
    return bool(text.strip()) and b"\0" not in text


def _read(file: BinaryIO, at: int, length: int) -> bytes:
    file.seek(at)
    return file.read(length)
