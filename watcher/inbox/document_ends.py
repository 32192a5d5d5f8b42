"""Tell whether a PDF, ZIP or TOML file is complete. Each function takes the open file and its size in bytes."""

import re
import struct
from dataclasses import dataclass
from typing import BinaryIO

# PDF (ISO 32000-1, 7.5.5 and implementation note 18 of Annex H): the end mark stands in the last 1,024 bytes. What
# mail programs and web servers put behind it does no harm either, as long as it is no further object.
_PDF_END = b"%%EOF"
_PDF_TAIL = 1024
_PDF_LOOKED_AT = 1 << 20
_PDF_OBJECT = re.compile(rb"\b[0-9]{1,10}\s+[0-9]{1,5}\s+obj\b")
_START_XREF = re.compile(rb"startxref\s+([0-9]{1,12})\s+%%EOF")
# Only the first table of a linearized file (Annex F) ends in a pointer to 0, and stands before the rest has come.
_LINEARIZED_LENGTH = re.compile(rb"/Linearized\b[^>]{0,400}?/L\s+([0-9]{1,12})", re.DOTALL)
_PDF_LINE_ENDS = 16  # what tools strip behind the end mark does no harm

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
    """Whether the last end mark of the file is there and no object begins behind it.

    Where the table is that should be named before it does not matter: all readers find their objects without it.
    """
    start = max(0, size - _PDF_LOOKED_AT)
    tail = _read(file, start, _PDF_LOOKED_AT)
    end = tail.rfind(_PDF_END)
    if end < 0:
        return False
    behind = tail[end + len(_PDF_END) :].strip()
    if _PDF_OBJECT.search(behind) or (len(behind) > _PDF_TAIL and not any(behind)):
        return False  # a part of an update, or space laid out for one
    return not _is_first_part_of_linearized(file, size, start + end, tail[: end + len(_PDF_END)])


def _is_first_part_of_linearized(file: BinaryIO, size: int, end: int, up_to_end: bytes) -> bool:
    """Whether the end mark is the first of a linearized file, behind which most of it is still to come."""
    head = _read(file, 0, _PDF_LOOKED_AT)
    announced = _LINEARIZED_LENGTH.search(head[:2048])
    if announced is None:
        return False
    pointers = list(_START_XREF.finditer(up_to_end))
    if not pointers or int(pointers[-1][1]) == 0:
        return True
    return int(announced[1]) > size + _PDF_LINE_ENDS and head.find(_PDF_END) == end


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
