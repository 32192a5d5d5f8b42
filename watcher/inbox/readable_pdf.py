"""Rewrite a PDF so that the writing library can read it: decrypted, its table of objects repaired. For workers.

pdfium opens what is encrypted with an empty password and what is damaged but can be put right; the writing library
does not always. So such a file is saved again by pdfium: its objects stay what they are, pages stay vector.
Sources: ISO 32000-1 7.5.4 and 7.5.5 (cross-reference table, trailer), 7.6 (encryption), Table 22 (rights: bit 3 to
print, bit 12 to print at full quality, of which revision 2 of the handler knows nothing).
"""

import io
import re
from contextlib import closing
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache

import pypdfium2
import pypdfium2.raw as pdfium
from pypdf import PdfReader
from pypdf.errors import DependencyError

_MAY_PRINT, _MAY_PRINT_FINE = 1 << 2, 1 << 11
_FIRST_WITH_FINE = 3  # revision of the security handler
_HEADER_REACH = 1024  # implementation note 13 of Annex H
_START_XREF = re.compile(rb"startxref\s+([0-9]{1,12})\b")
_TABLE = re.compile(rb"\s{0,16}(?:xref\b|[0-9]{1,10}\s+[0-9]{1,5}\s+obj\b)")
_FILE_ID = re.compile(rb"(/ID\s?\[<)[0-9A-Fa-f]*(><)[0-9A-Fa-f]*(>\])")

_DAMAGED = "is a damaged PDF or not complete"
_UNPROTECTED = "Export it without any protection"


class UnusablePdf(Exception):
    """A PDF that cannot be printed: `reason` follows the file's name, `way_out` is what to do."""

    def __init__(self, reason: str, way_out: str = "Export it again") -> None:
        super().__init__(reason)
        self.reason, self.way_out = reason, way_out


@dataclass(frozen=True, kw_only=True)
class ReadablePdf:
    """A PDF that can be read.

    Attributes:
        data: the file's own bytes wherever they can be read as they are.
        reader: the library at these bytes.
        mended: whether the table of its objects is not where the file says; what is lost cannot be known.
        in_low_quality: whether its author allows printing, but not at full quality.
    """

    data: bytes
    reader: PdfReader
    mended: bool = False
    in_low_quality: bool = False


class _Reads(Enum):
    WELL = "it can be read as it is"
    LOCKED = "it is encrypted"
    NOT = "the library cannot make sense of it"


@lru_cache(maxsize=1)  # many pages of one file are opened one after the other
def readable_pdf(data: bytes) -> ReadablePdf:
    """Return a PDF decrypted and with a sound table of objects.

    Raises:
        UnusablePdf: it needs a password, may not be printed, or is damaged beyond mending.
    """
    reads, reader = _read(data)
    if reader is not None:
        return ReadablePdf(data=data, reader=reader, mended=not _table_is_named(data))
    if reads is _Reads.NOT and not _has_its_end(data):
        raise UnusablePdf(_DAMAGED)
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as error:
        raise _why_not(error, reads) from error
    with closing(document):
        in_low_quality = reads is _Reads.LOCKED and _is_for_low_quality(document)
        saved = saved_plain(document)
    _, reader = _read(saved)
    if reader is None:
        raise UnusablePdf(_DAMAGED)
    return ReadablePdf(data=saved, reader=reader, mended=reads is _Reads.NOT, in_low_quality=in_low_quality)


def _read(data: bytes) -> tuple[_Reads, PdfReader | None]:
    """How the writing library reads a PDF; the reader where it reads it well."""
    try:
        reader = PdfReader(io.BytesIO(data))
        if reader.is_encrypted:
            return _Reads.LOCKED, None
        len(reader.pages)  # walks all of them
    except DependencyError:  # what pypdf says of modern encryption, for which it wants a package that we do not
        return _Reads.LOCKED, None
    except Exception:  # the library raises many kinds on a damaged file
        return _Reads.NOT, None
    return _Reads.WELL, reader


def _why_not(error: pypdfium2.PdfiumError, reads: _Reads) -> UnusablePdf:
    if error.err_code == pdfium.FPDF_ERR_PASSWORD:
        return UnusablePdf("is a locked PDF: it cannot be opened without its password", _UNPROTECTED)
    if error.err_code == pdfium.FPDF_ERR_SECURITY or reads is _Reads.LOCKED:
        return UnusablePdf("is a locked PDF, in a way that only certain programs can open", _UNPROTECTED)
    return UnusablePdf(_DAMAGED)


def _is_for_low_quality(document: pypdfium2.PdfDocument) -> bool:
    """Whether printing is allowed at low quality alone.

    Raises:
        UnusablePdf: printing is not allowed at all.
    """
    rights = pdfium.FPDF_GetDocUserPermissions(document)
    if not rights & _MAY_PRINT:
        raise UnusablePdf("is a locked PDF: its author does not allow printing", _UNPROTECTED)
    knows_of_fine = pdfium.FPDF_GetSecurityHandlerRevision(document) >= _FIRST_WITH_FINE
    return knows_of_fine and not rights & _MAY_PRINT_FINE


def saved_plain(document: pypdfium2.PdfDocument) -> bytes:
    """The document saved without encryption; the same bytes every time."""
    finished = io.BytesIO()
    document.save(finished, flags=pdfium.FPDF_REMOVE_SECURITY)
    data = finished.getvalue()
    at = data.rfind(b"trailer")
    return data[:at] + _FILE_ID.sub(rb"\1\2\3", data[at:]) if at >= 0 else data


def _has_its_end(data: bytes) -> bool:
    """Whether the last end mark stands behind the last object: of a file cut short nobody knows what is missing."""
    return data.rfind(b"%%EOF") > data.rfind(b" obj")


def _table_is_named(data: bytes) -> bool:
    """Whether a table of objects begins where the file's end says, counted from its start or from its header."""
    named = _START_XREF.match(data, max(0, data.rfind(b"startxref")))
    header = max(0, data.find(b"%PDF-", 0, _HEADER_REACH))
    return named is not None and any(_TABLE.match(data, int(named[1]) + shift) for shift in (0, header))
