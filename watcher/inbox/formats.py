"""The formats of files that are taken, one row each: endings, first bytes, how the end is known, name for people.

A new format of pictures is a row here and an opener in `art.formats.openers`.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from watcher.inbox.document_ends import pdf_ends, toml_ends, zip_ends
from watcher.inbox.raster_ends import jpeg_ends, png_ends, webp_ends
from watcher.inbox.tiff_ends import tiff_ends


@dataclass(frozen=True, kw_only=True, eq=False)
class FileFormat:
    """One format.

    Attributes:
        name: for people.
        endings: of a file's name, lower case, without the dot.
        starts: what its files start with; `?` stands for any byte. None of them: only the ending tells it.
        is_whole: whether a file of so many bytes is all there; given the file and its size.
        is_art: whether one side's art can come in it.
        has_inside: whether what it holds must be counted before an order can be told: members, or pages.
    """

    name: str
    endings: tuple[str, ...]
    starts: tuple[bytes, ...]
    is_whole: Callable[[BinaryIO, int], bool]
    is_art: bool = True
    has_inside: bool = False

    def is_at_start_of(self, head: bytes) -> bool:
        """Whether a file with these first bytes is of this format."""
        return any(len(head) >= len(start) and starts_alike(head, start) for start in self.starts)

    def may_start(self, head: bytes) -> bool:
        """Whether these first bytes, of a file that may be cut short, agree with the format as far as they go."""
        return any(starts_alike(head, start) for start in self.starts)


def starts_alike(head: bytes, start: bytes) -> bool:
    """Whether `head` agrees with a start as far as both go."""
    return all(have == want or want == ord("?") for have, want in zip(head, start, strict=False))


# Sources: PNG (ISO/IEC 15948) 5.2, JPEG (ITU-T T.81) B.1, TIFF 6.0 section 2 (II+ and MM+: the 64-bit variant), WebP
# (RFC 9649) 2.4, PDF (ISO 32000-1) 7.5.2, ZIP (PKWARE APPNOTE) 4.3.7 and 4.3.16.
PNG = FileFormat(name="PNG", endings=("png",), starts=(b"\x89PNG\r\n\x1a\n",), is_whole=png_ends)
JPEG = FileFormat(name="JPEG", endings=("jpg", "jpeg"), starts=(b"\xff\xd8\xff",), is_whole=jpeg_ends)
TIFF = FileFormat(
    name="TIFF",
    endings=("tif", "tiff"),
    starts=(b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"),
    is_whole=tiff_ends,
    has_inside=True,
)
WEBP = FileFormat(name="WebP", endings=("webp",), starts=(b"RIFF????WEBP",), is_whole=webp_ends)
PDF = FileFormat(name="PDF", endings=("pdf",), starts=(b"%PDF-",), is_whole=pdf_ends, has_inside=True)
ZIP = FileFormat(
    name="ZIP",
    endings=("zip",),
    starts=(b"PK\x03\x04", b"PK\x05\x06"),
    is_whole=zip_ends,
    is_art=False,
    has_inside=True,
)
JOB_TICKET = FileFormat(name="job ticket", endings=("toml",), starts=(), is_whole=toml_ends, is_art=False)

FORMATS = (PNG, JPEG, TIFF, WEBP, PDF, ZIP, JOB_TICKET)
ART = tuple(one for one in FORMATS if one.is_art)
PICTURES = tuple(one for one in ART if one is not PDF)


def endings_of(formats: Iterable[FileFormat]) -> frozenset[str]:
    """The endings of several formats, lower case, without the dot."""
    return frozenset(ending for one in formats for ending in one.endings)


ART_KINDS = endings_of(ART)
(CONTAINER,) = ZIP.endings
(TICKET,) = JOB_TICKET.endings
TICKET_END = b"# end\n"  # the last line of a job ticket that was written by a program: all of it is there
HAVE_AN_INSIDE = endings_of(one for one in FORMATS if one.has_inside)


def format_with(ending: str) -> FileFormat | None:
    """The format that an ending names, lower case, without the dot; None when it names none that is taken."""
    return next((one for one in FORMATS if ending in one.endings), None)


def named_format(file_name: str) -> FileFormat | None:
    """The format that a file's name promises; None when it is none that is taken."""
    return format_with(Path(file_name).suffix[1:].lower())


def format_of(head: bytes) -> FileFormat | None:
    """The format that a file's first bytes are in, whatever the file is called; None when it is none that is taken."""
    return next((one for one in FORMATS if one.is_at_start_of(head)), None)


def say_formats(formats: Iterable[FileFormat], last: str) -> str:
    """Formats for people: `PNG, JPEG and PDF`, with `last` ("and", "or") before the last."""
    *names, end = [one.name for one in formats]
    return f"{', '.join(names)} {last} {end}" if names else end
